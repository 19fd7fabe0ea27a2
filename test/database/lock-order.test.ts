import { readdir, readFile } from "node:fs/promises";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { AccountsRepository } from "../../src/features/accounts/accounts.repository.js";
import { KeysRepository } from "../../src/features/accounts/keys/keys.repository.js";
import { NoticeWriter } from "../../src/features/notices/notice-writer.service.js";
import { NoticesRepository } from "../../src/features/notices/notices.repository.js";
import { StandingsService } from "../../src/features/rankings/standings.service.js";
import { CorrectionsService } from "../../src/features/register/corrections.service.js";
import { SCORE_QUEUE, ScoresRepository } from "../../src/features/reviews/queue/scores.repository.js";
import { QueuedRunsRepository } from "../../src/features/runs/evaluation/queued-runs.repository.js";
import { SpecimensRepository } from "../../src/features/specimens/specimens.repository.js";
import { DeliveriesRepository } from "../../src/features/webhooks/deliveries/deliveries.repository.js";
import { WebhooksRepository } from "../../src/features/webhooks/webhooks.repository.js";
import type { Caller } from "../../src/platform/auth/account.js";
import { ADVISORY_LOCKS } from "../../src/platform/database/advisory-locks.js";
import type { Transaction } from "../../src/platform/database/database.js";
import { addJobs } from "../../src/platform/queue/add-job.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

const idOf = (number: number) => `00000000-0000-4000-8000-00000000000${number}`;
const [FIRST, SECOND, DELIVERY, KEY] = [idOf(1), idOf(2), idOf(3), idOf(4)];

const PACK = { maker: "Halden Cells", chemistry: "lipo", series: 4, parallel: 1, ratedCapacityMah: 4000 };

let app: TestApp;
let tilda: { authorization: string };
let accountId: string;
let runId: string;
/** Another transaction, beside what is tested, and who watches both. */
let other: Client;
let watch: Client;
beforeAll(async () => {
  app = await startTestApp();
  tilda = await app.signIn("tilda");
  runId = (await uploadCase(app, tilda, "Sprint", "truth-4s-10hz")).body.id;
  accountId = (await app.database.account.findFirstOrThrow()).id;
  [other, watch] = [1, 2].map(() => new Client({ connectionString: app.database.connectionString })) as [
    Client,
    Client,
  ];
  await other.connect();
  await watch.connect();
  for (const id of [SECOND, FIRST])
    await app.database.pack.create({ data: { ...PACK, id, name: id, createdById: accountId } });
});
afterAll(async () => {
  await other.end();
  await watch.end();
  await app.close();
});

/** Two webhooks of a key, and as many notices: their rows lie in another order than their ids have. */
beforeEach(async () => {
  const { database } = app;
  const keyHash = Buffer.alloc(32, 1);
  await database.apiKey.create({ data: { id: KEY, accountId, label: "app", scopes: ["read"], keyHash } });
  for (const id of [SECOND, FIRST]) {
    const url = "https://receiver.example";
    await database.webhook.create({
      data: { id, accountId, apiKeyId: KEY, url, kinds: [], secret: Buffer.alloc(32), failures: 1 },
    });
    await database.notice.create({ data: { id, accountId, kind: "question", subjectKind: "run", subjectId: runId } });
  }
  const given = { type: "notice.question", body: "{}", failedAt: new Date() };
  await database.webhookDelivery.create({ data: { id: DELIVERY, webhookId: FIRST, ...given } });
});
afterEach(async () => {
  await app.database.apiKey.deleteMany();
  await app.database.notice.deleteMany();
});

const service = <T>(of: new (...args: never[]) => T): T => app.nest.get(of, { strict: false });
const inTransaction = (work: (tx: Transaction) => Promise<unknown>) => app.database.$transaction(work);
const waitingDelivery = () => {
  const content = { type: "notice.question", body: "{}" };
  const message = { url: "https://receiver.example", secrets: [], ...content, attempts: 0, waitSeconds: 0 };
  return { id: DELIVERY, webhookId: FIRST, accountId, ...message };
};

/**
 * Does work while another transaction holds a lock that the work waits for, and asks what follows that one in the order of locks.
 *
 * @returns what became of asking: "free", or PostgreSQL's code 55P03 where the work holds that already: a deadlock, had the other waited for it
 */
async function beside(held: string, next: string, work: () => Promise<unknown>): Promise<string> {
  await other.query("BEGIN");
  await other.query(held);
  const done = work();
  const { rows } = await other.query<{ pid: number }>("SELECT pg_backend_pid() AS pid");
  const waits = "SELECT FROM pg_stat_activity WHERE $1 = ANY(pg_blocking_pids(pid))";
  while ((await watch.query(waits, [rows[0]?.pid])).rowCount === 0) await delay(5);
  const asked = other.query(`${next} NOWAIT`).then(
    () => "free",
    ({ code }: { code: string }) => code,
  );
  const answer = await asked;
  await other.query(answer === "free" ? "COMMIT" : "ROLLBACK");
  await done;
  return answer;
}

const DISABLING = `UPDATE webhook SET disabled_at = now() WHERE id = '${FIRST}'`;
const DELIVERIES = `SELECT FROM webhook_delivery WHERE webhook_id = '${FIRST}' FOR UPDATE`;

describe("whoever disables a webhook is never in each other's way with", () => {
  it.each<[string, () => Promise<unknown>]>([
    ["a message that is taken", () => service(DeliveriesRepository).taken(waitingDelivery())],
    [
      "a try that fails",
      () => inTransaction((tx) => service(DeliveriesRepository).noteFault(tx, waitingDelivery(), "x")),
    ],
    ["a message that is sent again", () => service(DeliveriesRepository).resend(FIRST, DELIVERY)],
    ["its deletion", () => service(WebhooksRepository).delete(FIRST, accountId)],
    ["the deletion of its key", () => service(KeysRepository).delete(KEY, accountId)],
  ])("%s", async (_, work) => {
    expect(await beside(DISABLING, DELIVERIES, work)).toBe("free");
  });
});

describe("whoever has the first webhook of an account can have the second", () => {
  const [first, second] = [FIRST, SECOND].map((id) => `SELECT FROM webhook WHERE id = '${id}' FOR UPDATE`) as [
    string,
    string,
  ];
  const news = () => ({ kind: "question", accountId, subjectId: runId }) as const;
  it.each<[string, () => Promise<unknown>]>([
    ["while it is told something", () => inTransaction((tx) => service(NoticeWriter).tell(tx, [news()]))],
    [
      "while a try fails",
      () => inTransaction((tx) => service(DeliveriesRepository).noteFault(tx, waitingDelivery(), "x")),
    ],
    ["while their key is deleted", () => service(KeysRepository).delete(KEY, accountId)],
    ["while notices are marked as read", () => service(NoticesRepository).markMany(accountId, null)],
  ])("%s", async (what, work) => {
    const ofNotices = (text: string) => (what.includes("notices") ? text.replace("webhook", "notice") : text);
    expect(await beside(ofNotices(first), ofNotices(second), work)).toBe("free");
  });
});

describe("locks are taken in one order:", () => {
  it("packs before rankings, where the standings of several packs are computed", async () => {
    const rankings = "SELECT FROM ranking_revision FOR UPDATE";
    await inTransaction((tx) => service(StandingsService).announceChange(tx));
    for (const packIds of [
      [SECOND, FIRST],
      [FIRST, SECOND],
    ]) {
      const work = () => inTransaction((tx) => service(StandingsService).refreshAll(tx, packIds));
      expect(await beside(`SELECT FROM pack WHERE id = '${SECOND}' FOR UPDATE`, rankings, work)).toBe("free");
      expect(
        await beside(
          `SELECT FROM pack WHERE id = '${FIRST}' FOR UPDATE`,
          `SELECT FROM pack WHERE id = '${SECOND}' FOR UPDATE`,
          work,
        ),
      ).toBe("free");
    }
  });

  it("jobs by their keys", async () => {
    const jobs = ["b", "a"].map((key) => ({ payload: {}, key }));
    const later = { turn: 0, lane: "background", afterSeconds: 86_400 } as const;
    await addJobs(app.database, "judge-tester", jobs, later);
    const jobOf = (key: string) => `SELECT FROM graphile_worker._private_jobs WHERE key = '${key}' FOR UPDATE`;
    expect(await beside(jobOf("a"), jobOf("b"), () => addJobs(app.database, "judge-tester", jobs, later))).toBe("free");
  });

  it("turns of evaluations before runs, where a run is queued, uploaded or sent again", async () => {
    const turns = `SELECT pg_advisory_xact_lock(${ADVISORY_LOCKS.giveTurns})`;
    const run = `SELECT FROM run WHERE id = '${runId}' FOR UPDATE`;
    const again = () => service(QueuedRunsRepository).queueAgain(runId);
    expect(await beside(turns, run, again)).toBe("free");
    expect(await beside(turns, run, () => uploadCase(app, tilda, "Sprint", "truth-4s-10hz"))).toBe("free");
    const uploaded = uploadCase(app, tilda, "Sprint", "plain-20hz");
    expect(await beside(turns, run, () => uploaded)).toBe("free");
    // Runs that wait are counted anew by their ids before any other is locked.
    await app.database.$executeRaw`UPDATE run SET state = 'queued', evaluation_turn = 12000 WHERE id = ${runId}::uuid`;
    const other = (await uploaded).body.id;
    expect(
      await beside(run, `SELECT FROM run WHERE id = '${other}' FOR UPDATE`, () =>
        service(QueuedRunsRepository).queueAgain(other),
      ),
    ).toBe("free");
    expect((await app.database.run.findUniqueOrThrow({ where: { id: runId } })).evaluationTurn).toBe(0);
    await app.database.run.update({ where: { id: runId }, data: { state: "processed" } });
  });

  it("runs before webhooks, where an account is erased", async () => {
    const run = `SELECT FROM run WHERE id = '${runId}' FOR UPDATE`;
    const webhooks = `SELECT FROM webhook WHERE account_id = '${accountId}' FOR KEY SHARE`;
    expect(await beside(run, webhooks, () => service(AccountsRepository).erase(accountId, "gone"))).toBe("free");
  });

  it("packs one at a time, where a specimen is registered of a pack that was merged into one that is being merged", async () => {
    const { database } = app;
    await database.pack.update({ where: { id: FIRST }, data: { mergedIntoId: SECOND } });
    const third = await database.pack.create({ data: { ...PACK, name: "third", createdById: accountId } });
    const merge = `UPDATE pack SET merged_into_id = '${third.id}' WHERE id IN ('${FIRST}', '${SECOND}')`;
    const specimen = { packId: FIRST, label: "late", cycles: 0 };
    const work = async () => {
      const made = await service(SpecimensRepository).create(specimen, accountId);
      expect(made).toMatchObject({ specimen: { packId: third.id } });
    };
    expect(await beside(merge, `SELECT FROM pack WHERE id = '${FIRST}' FOR UPDATE`, work)).toBe("free");
    await database.specimen.deleteMany({ where: { packId: third.id } });
    await database.pack.updateMany({ data: { mergedIntoId: null } });
  });

  it("a pack that is merged on while its merge is undone is separated from the one that it leads to then", async () => {
    const { database } = app;
    const third = await database.pack.create({ data: { ...PACK, name: "fourth", createdById: accountId } });
    const merged = { mergedIntoId: SECOND, mergedDirectlyIntoId: SECOND };
    await database.pack.update({ where: { id: FIRST }, data: merged });
    const led = `UPDATE pack SET merged_into_id = '${third.id}' WHERE id = '${FIRST}'`;
    await app.signIn("vera", "moderator");
    const { id, handle } = await database.account.findFirstOrThrow({ where: { handle: "vera" } });
    const caller = { id, handle, role: "moderator" } as Caller;
    const work = () => service(CorrectionsService).undoMerge(FIRST, null, caller);
    expect(await beside(led, `SELECT FROM pack WHERE id = '${third.id}' FOR UPDATE`, work)).toBe("free");
    expect(await database.pack.findUniqueOrThrow({ where: { id: FIRST } })).toMatchObject({ mergedIntoId: null });
    const [entry] = await database.auditEntry.findMany({ where: { subjectId: FIRST, event: "undo-merge" } });
    expect(entry).toMatchObject({ fromState: `merged into ${third.id}` });
  });

  it("a run that is stored while its specimen becomes another pack's is that pack's", async () => {
    const { database } = app;
    const {
      id: _,
      currentEvaluationId: __,
      error: ___,
      columns: ____,
      ...run
    } = await database.run.findUniqueOrThrow({ where: { id: runId } });
    const { id: specimenId } = await database.specimen.create({
      data: { packId: FIRST, ownerId: accountId, label: "moved", cycles: 0 },
    });
    const moved = `UPDATE specimen SET pack_id = '${SECOND}' WHERE id = '${specimenId}'`;
    const data = { ...run, specimenId, packId: null, state: "queued" };
    const work = async () => expect(await database.run.create({ data })).toMatchObject({ packId: SECOND });
    expect(await beside(moved, `SELECT FROM pack WHERE id = '${FIRST}' FOR UPDATE`, work)).toBe("free");
    await database.run.deleteMany({ where: { specimenId } });
    await database.specimen.delete({ where: { id: specimenId } });
  });

  it("no advisory lock is two things at once: their numbers stand in one place, those of triggers too", async () => {
    const numbers = Object.values(ADVISORY_LOCKS);
    expect(new Set(numbers).size).toBe(numbers.length);
    const home = "platform/database/advisory-locks.ts";
    const files = [
      ...(await readdir("src", { recursive: true })).filter(
        (name) => name.endsWith(".ts") && name !== home && !name.startsWith("generated"),
      ),
      ...(await readdir("prisma/migrations", { recursive: true })).filter((name) => name.endsWith(".sql")),
    ];
    for (const file of files) {
      const text = await readFile(file.endsWith(".sql") ? `prisma/migrations/${file}` : `src/${file}`, "utf8");
      const found = (text.match(/\b7_?120_?451_?\d{3}\b/g) ?? []).map((one) => Number(one.replaceAll("_", "")));
      const known = file.endsWith(".sql") ? found.filter((one) => !numbers.some((number) => number === one)) : found;
      expect([file, known]).toEqual([file, []]);
    }
  });
});

describe("who decides on a run", () => {
  it("is waited for by no scoring of it, however often it changed, or each would wait for the other", async () => {
    await app.database
      .$executeRaw`SELECT graphile_worker.add_job(${SCORE_QUEUE}, '{}'::json, run_at => now() + interval '1 day', job_key => ${SCORE_QUEUE})`;
    // The service's own scoring may still be at work; after it, only the test scores.
    const working = `SELECT FROM graphile_worker.jobs WHERE task_identifier = '${SCORE_QUEUE}' AND locked_at IS NOT NULL`;
    while (((await watch.query(working)).rowCount ?? 0) > 0) await delay(5);
    const scores = service(ScoresRepository);
    const scoreSome = () => scores.scoreSome({ changes: 100, marked: 100, scored: 100 }, { wait: true });
    while (await scores.isLeft()) await scoreSome();
    const { packId, testerId } = await app.database.run.findUniqueOrThrow({ where: { id: runId } });
    const kinds = { run: runId, pack: packId, tester: testerId };
    for (const [kind, subjectId] of Object.entries(kinds)) {
      await app.database.reviewScoreDue.create({ data: { kind, subjectId } });
    }
    await other.query("BEGIN");
    await other.query(`SELECT FROM run WHERE id = '${runId}' FOR UPDATE`);
    const { rows } = await other.query<{ pid: number }>("SELECT pg_backend_pid() AS pid");
    let isScored = false;
    const scored = scoreSome().finally(() => {
      isScored = true;
    });
    const waiting = async () => {
      const waits = "SELECT FROM pg_stat_activity WHERE $1 = ANY(pg_blocking_pids(pid))";
      return ((await watch.query(waits, [rows[0]?.pid])).rowCount ?? 0) > 0;
    };
    let isWaiting = false;
    while (!isScored && !isWaiting) {
      isWaiting = await waiting();
      await delay(5);
    }
    await other.query("ROLLBACK");
    expect([isWaiting, await scored]).toEqual([false, true]);
    expect((await app.database.reviewScore.findUniqueOrThrow({ where: { runId } })).stale).toBe(false);
  });
});

import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { PairsRepository } from "../../src/features/records/pairs.repository.js";
import { AuditLog } from "../../src/platform/audit-log/audit-log.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { AutoAcceptTest } from "../support/auto-accept-test.js";
import { uploadDemoRun } from "../support/demo-run.js";
import { STORED_LOAD, StoredRuns } from "../support/stored-runs.js";
import { logCase, register, uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

const HOUR_MS = 3_600_000;
const LOG = "truth-4s-10hz";

let app: TestApp;
let moderator: Headers;
let anna: Headers;
let bert: Headers;
let packId: string;
let runs: StoredRuns;
beforeAll(async () => {
  app = await startTestApp();
  runs = new StoredRuns(app);
  moderator = await app.signIn("mona", "moderator");
  [anna, bert] = [await app.signIn("anna"), await app.signIn("bert")];
  packId = (await register(app, anna, "Kite", logCase(LOG))).packId;
});
afterAll(() => app.close());

const post = (url: string, payload: object, headers: Headers = moderator) =>
  app.inject({ method: "POST", url, payload, headers });
const inHours = (hours: number) => ({
  closesAt: new Date(Date.now() + hours * HOUR_MS).toISOString(),
  note: "New this spring.",
});
const open = (of: string, hours: number, headers?: Headers) =>
  post(`/v1/packs/${of}/sealed-round`, inHours(hours), headers);
/** The round's time is over. */
const close = (database = app.database) =>
  database.sealedRound.updateMany({
    data: { opensAt: new Date(Date.now() - 2 * HOUR_MS), closesAt: new Date(Date.now() - 1_000) },
  });
/** Jobs that follow the end of a round. */
const waiting = async (database: TestApp["database"]) => {
  const jobs = await database.$queryRaw<object[]>`
    SELECT FROM graphile_worker.jobs WHERE task_identifier IN ('close-sealed-round', 'auto-accept-run')`;
  return jobs.length;
};

describe("a sealed round", () => {
  it("is opened by a moderator for a pack, once, for an hour to 180 days", async () => {
    for (const hours of [0.9, 180 * 24 + 1]) expect((await open(packId, hours)).statusCode).toBe(422);
    expect((await open(packId, 48, anna)).json()).toMatchObject({ code: "role-required" });
    const input = { packId, ...inHours(48) };
    const { body } = await app.graphql(
      `mutation ($input: OpenSealedRoundInput!) { openSealedRound(input: $input) { open testers pack { name } } }`,
      { variables: { input }, headers: moderator },
    );
    expect(body).toEqual({ data: { openSealedRound: { open: true, testers: 0, pack: { name: "Kite" } } } });
    expect((await open(packId, 72)).json()).toMatchObject({ code: "already-exists" });
    const entry = await app.database.auditEntry.findFirstOrThrow({
      where: { event: "open-sealed-round", subjectId: packId },
      include: { reason: true },
    });
    expect([entry.toState, entry.reason?.text]).toEqual([input.closesAt, input.note]);
    const [job] = await app.database.$queryRaw<{ runAt: Date }[]>`
      SELECT run_at AS "runAt" FROM graphile_worker.jobs WHERE task_identifier = 'close-sealed-round'`;
    const late = (job?.runAt.getTime() ?? 0) - Date.parse(input.closesAt);
    expect(late).toBeGreaterThanOrEqual(0);
    expect(late).toBeLessThan(HOUR_MS);
  });

  it("keeps every run of its pack unseen and from being accepted until it closes", async () => {
    const { body: run } = await uploadCase(app, anna, "Kite", LOG);
    expect(run).toMatchObject({ state: "processed", review: "pending" });
    const accept = { decision: "accept", rules: [], note: "Fine." };
    const refused = await post(`/v1/runs/${run.id}/reviews`, accept);
    expect([refused.statusCode, refused.json()]).toMatchObject([
      409,
      { code: "decision-not-possible", detail: expect.stringContaining("sealed round") },
    ]);
    const many = await post("/v1/reviews", { runIds: [run.id], ...accept });
    expect(many.json()).toMatchObject({ items: [{ review: null, problem: { code: "decision-not-possible" } }] });
    for (const headers of [{}, bert]) {
      expect((await app.inject({ url: `/v1/runs/${run.id}`, headers })).statusCode).toBe(404);
    }
    expect((await app.inject({ url: "/v1/sealed-rounds" })).json()).toMatchObject({ items: [{ testers: 1 }] });
    await close();
    expect((await post(`/v1/runs/${run.id}/reviews`, accept)).statusCode).toBe(201);
    expect((await app.inject({ url: `/v1/runs/${run.id}` })).statusCode).toBe(200);
  });

  it("shows what was withdrawn meanwhile when it has closed, and not before", async () => {
    const skua = await register(app, bert, "Skua", logCase(LOG));
    expect((await open(skua.packId, 24)).statusCode).toBe(201);
    const log = new TextEncoder().encode(`${new TextDecoder().decode(logCase(LOG).log).trimEnd()}\n\n`);
    const { body: run } = await uploadCase(app, bert, "Skua", LOG, Uint8Array.from(log));
    expect(run).toMatchObject({ state: "processed", review: "pending" });
    const gone = await app.inject({ method: "DELETE", url: `/v1/runs/${run.id}`, headers: bert });
    expect(gone.statusCode).toBe(204);
    // Of this tester nothing else is public.
    expect((await app.inject({ url: "/v1/testers/bert" })).statusCode).toBe(404);
    await close();
    const { withdrawals } = (await app.inject({ url: "/v1/testers/bert" })).json<{ withdrawals: object[] }>();
    expect(withdrawals).toMatchObject([{ pack: { name: "Skua" }, withdrawnFrom: "pending" }]);
  });

  it("is not for a pack of which a result was ever public", async () => {
    const accepted = await runs.add("cem", "Accepted");
    await runs.withdraw(await runs.add("cem", "Withdrawn"));
    for (const name of ["Accepted", "Withdrawn"]) {
      expect((await open(await runs.pack(name), 48)).json()).toMatchObject({ code: "decision-not-possible" });
    }
    await runs.reject(accepted);
    await runs.settled();
  });

  it("is listed, the newest first, open ones or closed ones alone", async () => {
    const tern = await register(app, anna, "Tern", logCase(LOG));
    await open(tern.packId, 48);
    const names = async (query: string) =>
      (await app.inject({ url: `/v1/sealed-rounds${query}` }))
        .json<{ items: { pack: { name: string } }[] }>()
        .items.map(({ pack }) => pack.name);
    expect(await names("")).toEqual(["Tern", "Skua", "Kite"]);
    expect(await names("?open=true")).toEqual(["Tern"]);
    expect(await names("?open=false")).toEqual(["Skua", "Kite"]);
    const { body } = await app.graphql("{ sealedRounds(last: 1) { totalCount edges { node { pack { name } } } } }");
    expect(body).toEqual({ data: { sealedRounds: { totalCount: 3, edges: [{ node: { pack: { name: "Kite" } } }] } } });
  });
});

describe("while a round is open", () => {
  const sealed = { code: "decision-not-possible", detail: expect.stringContaining("sealed round until") };
  const move = (runId: string, to: string, headers = moderator) =>
    app.inject({ method: "PATCH", url: `/v1/runs/${runId}`, payload: { packId: to, note: "Two bags." }, headers });
  const merge = (id: string, into: string) => post(`/v1/packs/${id}/merge`, { into, reason: "The same." });
  const undo = (id: string) => app.inject({ method: "DELETE", url: `/v1/packs/${id}/merge`, headers: moderator });
  /** Asks while the opening of a round is under way, and is answered when it has happened. */
  const beside = async <T>(of: string, ask: () => PromiseLike<T>): Promise<T> => {
    const opening = new Client({ connectionString: app.database.connectionString });
    await opening.connect();
    try {
      await opening.query("BEGIN");
      await opening.query("SELECT FROM pack WHERE id = $1 FOR NO KEY UPDATE", [of]);
      await opening.query(
        `INSERT INTO sealed_round (id, pack_id, opened_by_id, closes_at)
         SELECT gen_random_uuid(), $1, id, now() + interval '1 hour' FROM account WHERE handle = 'mona'`,
        [of],
      );
      const answer = Promise.resolve(ask());
      const waits = "SELECT FROM pg_stat_activity WHERE pg_backend_pid() = ANY(pg_blocking_pids(pid))";
      while ((await opening.query(waits)).rowCount === 0) await delay(5);
      await opening.query("COMMIT");
      return await answer;
    } finally {
      await opening.end();
    }
  };

  it("no run leaves its pack, by whomever, and none whose figures were public comes to it", async () => {
    const { packId: sealedId } = await register(app, anna, "Gannet", logCase("plain-20hz"));
    await open(sealedId, 24);
    const { body: own } = await uploadCase(app, anna, "Gannet", "plain-20hz");
    const other = await runs.pack("Gull");
    for (const headers of [moderator, anna]) {
      expect((await move(own.id, other, headers)).json()).toMatchObject(sealed);
    }
    const accepted = await runs.add("ida", "Gull");
    const { testerId } = await app.database.run.findUniqueOrThrow({ where: { id: accepted } });
    const { id: moderatorId } = await app.database.account.findFirstOrThrow({ where: { handle: "mona" } });
    const review = { runId: accepted, moderatorId, decision: "accept", rules: [], previousReview: "pending" };
    expect(testerId).not.toBe(moderatorId);
    await app.database.review.create({ data: review });
    expect((await move(accepted, sealedId)).json()).toMatchObject(sealed);
    await runs.reject(accepted);
    expect((await move(accepted, sealedId)).json()).toMatchObject(sealed);
    const { body: misfiled } = await uploadCase(app, bert, "Grebe", "jitter-25hz");
    expect((await move(misfiled.id, sealedId, bert)).json()).toMatchObject({ pack: { name: "Gannet" } });
    await runs.settled();
  });

  it("its pack is merged with no other, either way, and no merge with it is undone", async () => {
    const [pack, other, earlier] = [await runs.pack("Fulmar"), await runs.pack("Fieldfare"), await runs.pack("Finch")];
    expect((await merge(earlier, pack)).statusCode).toBe(200);
    expect((await open(pack, 24)).statusCode).toBe(201);
    expect((await merge(pack, other)).json()).toMatchObject(sealed);
    expect((await merge(other, pack)).json()).toMatchObject(sealed);
    expect((await undo(earlier)).json()).toMatchObject(sealed);
    await close();
    expect((await undo(earlier)).statusCode).toBe(200);
    expect((await merge(other, pack)).statusCode).toBe(200);
  });

  it("neither happens beside its opening, nor is a run accepted", async () => {
    const [pack, other] = [await runs.pack("Dunlin"), await runs.pack("Dove")];
    expect((await beside(pack, () => merge(pack, other))).json()).toMatchObject(sealed);
    const { body: run } = await uploadCase(app, anna, "Diver", "current-offset");
    const moved = await beside(run.pack.id, () => move(run.id, other));
    expect(moved.json()).toMatchObject(sealed);
    await app.database.sealedRound.delete({ where: { packId: run.pack.id } });
    const accept = { decision: "accept", rules: [], note: "Fine." };
    const accepted = await beside(run.pack.id, () => post(`/v1/runs/${run.id}/reviews`, accept));
    expect(accepted.json()).toMatchObject(sealed);
    await close();
  });
});

describe("a pack of a sealed round", () => {
  it("is sealed for a tester all of whose runs came in it and stayed where they were", async () => {
    const id = await runs.pack("Plover");
    const times = { opensAt: new Date(Date.now() - HOUR_MS), closesAt: new Date(Date.now() + HOUR_MS) };
    await app.database.sealedRound.create({ data: { packId: id, openedById: await runs.tester("dov"), ...times } });
    const moved = await runs.add("eva", "Plover");
    for (const handle of ["dov", "fay", "gus"]) await runs.add(handle, "Plover");
    await app.database.sealedRound.update({ where: { packId: id }, data: { closesAt: new Date() } });
    for (const handle of ["gus", "hal"]) await runs.add(handle, "Plover");
    const auditLog = app.nest.get(AuditLog);
    await auditLog.transaction(async (tx) =>
      auditLog.record(tx, { actorId: null, event: "move", subject: { kind: "run", id: moved } }),
    );
    const isSealed = async (handle: string) => {
      const testerId = await runs.tester(handle);
      const pairs = await app.database.$transaction((tx) => app.nest.get(PairsRepository).withAll(tx, testerId));
      return new Set(pairs.filter(({ load }) => load === STORED_LOAD).map(({ sealed }) => sealed));
    };
    for (const handle of ["dov", "fay"]) expect(await isSealed(handle)).toEqual(new Set([true]));
    for (const handle of ["eva", "gus", "hal"]) expect(await isSealed(handle)).toEqual(new Set([false]));
    await runs.settled();
  });

  it("is asked of newcomers where the policy says so, and of nobody who is established", async () => {
    const known = ["rea", "sam", "tom"];
    for (const handle of known) {
      for (const name of ["Rail", "Ruff", "Rook"]) await runs.add(handle, name);
      await post(`/v1/testers/${handle}/vouch`, { note: "Known bench." });
    }
    const statusOf = async (handle: string) =>
      (await app.inject({ url: `/v1/testers/${handle}` })).json<{ status: string }>().status;
    for (const name of ["Rail", "Ruff", "Rook"]) await runs.add("uma", name);
    await runs.settled();
    expect(await statusOf("uma")).toBe("established");
    const policy = { testers: 3, referenceTesters: 2, vouchedOnly: false, sealedFrom: 4, reason: "We are many." };
    const headers = await app.signIn("ada", "administrator");
    await app.inject({ method: "PUT", url: "/v1/standing-policy", payload: policy, headers });
    const opened = await open(await runs.pack("Robin"), 24);
    expect(opened.statusCode).toBe(201);
    for (const handle of [...known, "vic"]) await runs.add(handle, "Robin");
    await app.database.sealedRound.updateMany({
      where: { packId: await runs.pack("Robin") },
      data: { closesAt: new Date(Date.now() + 10) },
    });
    for (const handle of ["vic", "wim"]) for (const name of ["Rail", "Ruff", "Rook"]) await runs.add(handle, name);
    await runs.settled();
    expect([await statusOf("uma"), await statusOf("vic"), await statusOf("wim")]).toEqual([
      "established",
      "established",
      "new",
    ]);
  });
});

describe("the auto-accept policy", () => {
  it("accepts no run of a sealed round, and looks at it again when the round closes", async () => {
    const policy = await AutoAcceptTest.start();
    const { database } = policy.app;
    const { id: openedById } = await database.account.findFirstOrThrow({ where: { handle: "mona" } });
    const { specimen } = await database.run.findUniqueOrThrow({
      where: { id: policy.run },
      include: { specimen: true },
    });
    const sealedId = specimen.packId;
    const round = { packId: sealedId, openedById, closesAt: new Date(Date.now() + HOUR_MS) };
    try {
      await policy.accept(await uploadDemoRun(policy.app, policy.slipstream, "run-12"));
      await database.sealedRound.create({ data: round });
      await policy.setPolicy({});
      expect(await policy.consider(policy.run)).toBe(false);
      expect(await policy.reviewOf(policy.run)).toBe("pending");
      await close(database);
      await database.$executeRaw`
        SELECT graphile_worker.add_job('close-sealed-round', json_build_object('packId', ${sealedId}::text))`;
      while ((await waiting(database)) > 0) await delay(20);
      expect(await policy.reviewOf(policy.run)).toBe("accepted");
    } finally {
      await policy.app.close();
    }
  });
});

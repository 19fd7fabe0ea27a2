import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { allStatementsOf } from "../../../test/support/all-statements.js";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { averaged, noisier, scaled, shifted, together, trimmed } from "../../../test/support/copies/alterations.js";
import { csvOf } from "../../../test/support/traces.js";
import { logCase, postForm, register } from "../../../test/support/uploads.js";
import type { Trace } from "../../core/model.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import type { NoticeList } from "../notices/notices.views.js";
import { CHECK_COPIES, QUEUE_COMPARISONS } from "../runs/runs.service.js";
import { CopiesRepository } from "./copies.repository.js";
import { CopiesService } from "./copies.service.js";
import type { CopiesView } from "./copies.views.js";

type Headers = { authorization: string };

/** Of an upload, from its request to the end of its comparison. */
const MAX_STATEMENTS = 28;

let app: TestApp;
let anna: Headers;
let bert: Headers;
let moderator: Headers;
beforeAll(async () => {
  app = await startTestApp();
  [anna, bert] = (await Promise.all([app.signIn("anna"), app.signIn("bert")])) as [Headers, Headers];
  moderator = await app.signIn("mona", "moderator");
  // A large record: the numbers of its runs among the hashes need more than 24 bits.
  await app.database.$executeRaw`ALTER TABLE copy_fingerprint ALTER COLUMN number RESTART WITH 2000000000`;
});
afterAll(() => app.close());

/** The trace of a fixture, read off its columns. */
function traceOfCase(name: string): Trace {
  const rows = Buffer.from(logCase(name).log).toString().trim().split("\n").slice(1);
  const column = (offset: number) => Float64Array.from(rows, (row) => Number(row.split(",")[offset]));
  return { time: column(0), voltage: column(1), current: column(2), temperature: null };
}

/** The queue's own, scores of the moderators' queue, which serve all that changes within a second, settings of connections, messages of an evaluation that takes long, and looks of those who wait: as many as it takes. */
const OTHERS =
  /_private_jobs|review_score|graphile_worker\.(jobs|complete_jobs)|statement_timeout|tcp_keepalives|^SELECT pg_notify\(|^SELECT state FROM run|"copy_fingerprint"."checked_at"/;

/** Uploads a log for a pack of this name and waits until it was compared. */
async function upload(headers: Headers, packName: string, caseName: string, log = logCase(caseName).log) {
  const found = logCase(caseName);
  const { packId: _, ...ids } = await register(app, headers, packName, found);
  const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...found.conditions };
  const { body } = await postForm(`${app.url}/v1/runs`, run, log, { headers });
  await app.nest.get(CopiesService).awaitCheck(body.id);
  return body.id;
}

const copiesOf = async (id: string, headers: Headers) => {
  const answer = await app.inject({ url: `/v1/runs/${id}/copies`, headers });
  return { status: answer.statusCode, body: answer.json<CopiesView>() };
};

const decide = (id: string, payload: object) =>
  app.inject({
    method: "POST",
    url: `/v1/runs/${id}/reviews`,
    payload: { rules: [], note: "Looked at.", ...payload },
    headers: moderator,
  });

/** Whose runs look like which others, as their tester is told. */
async function noticesOf(headers: Headers): Promise<{ runId: string; text: string }[]> {
  const answer = await app.inject({ url: "/v1/notices?kind=copy-found", headers });
  return answer.json<NoticeList>().items.map(({ subject, text }) => ({ runId: subject.id, text }));
}

describe("an altered copy under another pack and tester", () => {
  const alter = together(trimmed(0, 0.99), averaged(7), scaled(1.004, 0.99), shifted(3));
  let original: string;
  let copy: string;
  beforeAll(async () => {
    original = await upload(anna, "Sprint", "plain-20hz");
    const log = Uint8Array.from(Buffer.from(csvOf(alter(traceOfCase("plain-20hz"), 1))));
    copy = await upload(bert, "Marathon", "plain-20hz", log);
  });

  it("is shown to a moderator with the evidence, from either side and in both APIs", async () => {
    const { body } = await copiesOf(copy, moderator);
    expect(body.checkedAt).not.toBeNull();
    expect(body.copies).toMatchObject([{ runId: original, otherPack: true, otherTester: true, holdsUp: true }]);
    const voltage = body.copies[0]?.agreements.find(({ channel }) => channel === "voltage");
    expect(voltage?.score).toBeGreaterThan(7.5);
    expect(voltage?.gain).toBeCloseTo(1.004, 4);
    expect((await copiesOf(original, moderator)).body.copies).toMatchObject([
      { runId: copy, isLater: true, holdsUp: false },
    ]);
    const { body: twin } = await app.graphql(
      "query($id: ID!) { runCopies(id: $id) { copies { runId holdsUp agreements { channel gain } } } }",
      { variables: { id: copy }, headers: moderator },
    );
    expect(twin.data).toMatchObject({ runCopies: { copies: [{ runId: original, holdsUp: true }] } });
  });

  it("is not told to a tester while the other run is private, nor to anyone else", async () => {
    expect((await copiesOf(copy, bert)).body.copies).toEqual([]);
    expect((await copiesOf(original, bert)).status).toBe(404);
    expect((await app.inject({ url: `/v1/runs/${copy}/copies` })).statusCode).toBe(401);
    for (const headers of [anna, bert]) expect(await noticesOf(headers)).toEqual([]);
  });

  it("waits, and does not hold up the run that came first", async () => {
    const refused = await decide(copy, { decision: "accept" });
    expect(refused.statusCode).toBe(409);
    expect(refused.json()).toMatchObject({ type: "/problems/copy-undecided", copies: [original] });
    expect((await decide(original, { decision: "accept" })).statusCode).toBe(201);
    expect((await decide(copy, { decision: "reject" })).statusCode).toBe(201);
    expect((await copiesOf(copy, bert)).body.copies).toMatchObject([{ runId: original }]);
    expect((await decide(copy, { decision: "accept" })).json()).toMatchObject({ type: "/problems/copy-undecided" });
  });

  it("is accepted when a moderator judges both to be measurements of their own, and names only what was found", async () => {
    const stranger = await decide(copy, { decision: "accept", independentOf: [copy] });
    expect([stranger.statusCode, stranger.json<{ type: string }>().type]).toEqual([422, "/problems/invalid-input"]);
    const accepted = await decide(copy, { decision: "accept", independentOf: [original] });
    expect(accepted.json()).toMatchObject({ review: "accepted", independentOf: [original] });
    expect((await copiesOf(copy, moderator)).body.copies).toMatchObject([{ runId: original, holdsUp: false }]);
    const seenFromTheFirst = (await copiesOf(original, moderator)).body.copies;
    expect(seenFromTheFirst).toMatchObject([{ runId: copy, judgedIndependent: true, holdsUp: false }]);
  });

  it("holds the first up as well when it was accepted before the likeness was known", async () => {
    await app.database.$transaction(async (tx) => {
      await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
      await tx.$executeRawUnsafe(`UPDATE review SET independent_of = '{}' WHERE run_id = '${copy}'`);
      await tx.$executeRawUnsafe(`UPDATE run SET review_state = 'pending' WHERE id = '${original}'`);
    });
    expect((await copiesOf(original, moderator)).body.copies).toMatchObject([{ runId: copy, holdsUp: true }]);
    expect((await decide(original, { decision: "accept" })).json()).toMatchObject({
      type: "/problems/copy-undecided",
      copies: [copy],
    });
  });
});

it("a copy is told to its tester beside a public run or an own one, once, and to nobody beside a private one", async () => {
  const original = await upload(anna, "Public", "jitter-25hz");
  expect((await decide(original, { decision: "accept" })).statusCode).toBe(201);
  const carl = await app.signIn("carl");
  const log = Uint8Array.from(Buffer.from(csvOf(trimmed(0, 0.99)(traceOfCase("jitter-25hz"), 1))));
  const first = await upload(carl, "Taken", "jitter-25hz", log);
  expect(await noticesOf(carl)).toEqual([{ runId: first, text: expect.stringContaining(original) }]);
  const second = await upload(carl, "Taken again", "jitter-25hz", log);
  await app.nest.get(CopiesService).check(second);
  const told = await noticesOf(carl);
  expect(
    told.filter(({ runId }) => runId === second).map(({ text }) => [original, first].filter((id) => text.includes(id))),
  ).toHaveLength(2);
  expect(told).toHaveLength(3);
  expect(await noticesOf(anna)).toEqual([]);
});

it("other runs, of the same pack or not, are no copies", async () => {
  const ids = [await upload(anna, "Relay", "current-offset"), await upload(bert, "Relay", "lead-awg12")];
  for (const id of ids) expect((await copiesOf(id, moderator)).body.copies).toEqual([]);
});

it("runs that an earlier version of the service did not compare are compared at the next start", async () => {
  const id = await upload(anna, "Hurdles", "short-dip");
  await app.database.copyFingerprint.update({ where: { runId: id }, data: { method: "1" } });
  await app.nest.get(CopiesService).queueMissing();
  await app.nest.get(CopiesService).awaitCheck(id);
  expect(await app.database.copyFingerprint.findUniqueOrThrow({ where: { runId: id } })).toMatchObject({
    method: "3",
  });
  expect((await copiesOf(id, moderator)).body.checkedAt).not.toBeNull();
});

it("a copy with noise of three times the log's own is found among the runs of its pack", async () => {
  const [original, copy] = [
    await upload(anna, "Steeple", "plain-20hz"),
    await upload(
      bert,
      "Steeple",
      "plain-20hz",
      Uint8Array.from(Buffer.from(csvOf(noisier(3)(traceOfCase("plain-20hz"), 4)))),
    ),
  ];
  const { copies } = (await copiesOf(copy, moderator)).body;
  expect(copies.map(({ runId }) => runId)).toContain(original);
  expect((await app.database.copyFingerprint.findUniqueOrThrow({ where: { runId: copy } })).number).toBeGreaterThan(
    2e9,
  );
});

it("what was found is never changed", async () => {
  await expect(app.database.copyMatch.deleteMany()).rejects.toThrow(/constraint violated/i);
});

it("an upload is stored, evaluated, answered and compared by few statements", async () => {
  const found = logCase("truth-4s-10hz");
  const { packId: _, ...ids } = await register(app, anna, "Counted", found);
  const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...found.conditions };
  const sent = await allStatementsOf(app, async () => {
    const { body } = await postForm(`${app.url}/v1/runs`, run, found.log, { headers: anna });
    await app.nest.get(CopiesService).awaitCheck(body.id);
  });
  const counted = sent.filter((text) => !OTHERS.test(text));
  expect(counted.length).toBeGreaterThan(20);
  // Marking what is due and scoring what is stale each begin, take their lock, and end; whoever sees that a job for it is needed queues one.
  const scoring = /DELETE FROM review_score_due|FROM review_score WHERE stale ORDER BY[^;]*SKIP LOCKED/;
  const count = (pattern: RegExp) => sent.filter((text) => pattern.test(text)).length;
  const most = MAX_STATEMENTS + 3 * count(scoring) + count(/ AS needed$/);
  expect(counted.length > most ? counted : []).toEqual([]);
});

it("runs that are left to compare are queued some at a time, until none is left", async () => {
  await app.nest.get(JobQueue).beforeApplicationShutdown();
  const before = await app.database.run.findMany({ where: { state: "processed" }, orderBy: { id: "asc" }, take: 3 });
  const ids = before.map(({ id }) => id);
  await app.database.copyFingerprint.updateMany({ where: { runId: { in: ids } }, data: { method: "1" } });
  const waiting = async () =>
    (
      await app.database.$queryRaw<{ key: string }[]>`
        SELECT key FROM graphile_worker.jobs
        WHERE task_identifier = ANY (${[CHECK_COPIES, QUEUE_COMPARISONS]}) ORDER BY key COLLATE "C"`
    ).map(({ key }) => key);
  const copies = app.nest.get(CopiesRepository);
  await copies.queueSomeMissing(null, 2);
  expect(await waiting()).toEqual([`check-copies:${ids[0]}`, `check-copies:${ids[1]}`, `queue-comparisons:${ids[1]}`]);
  await copies.queueSomeMissing(ids[1] as string, 2);
  expect(await waiting()).toEqual([...ids.map((id) => `check-copies:${id}`), `queue-comparisons:${ids[1]}`]);
});

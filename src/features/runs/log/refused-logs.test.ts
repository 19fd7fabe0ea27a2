import { randomBytes } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { type Answer, logCase, postForm, register } from "../../../../test/support/uploads.js";
import { LogRemovalsService } from "./log-removals.service.js";

const CASE = logCase("too-hot");
const UNREADABLE = Buffer.from("a,b,c\n1,2,3\n2,3,4\n3,4,5\n4,5,6\n");

let app: TestApp;
let headers: { authorization: string };
let ids: { specimenId: string; benchId: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  const { packId: _, ...registered } = await register(app, headers, "Sprint", CASE);
  ids = registered;
});
afterAll(() => app.close());

const upload = (log: Uint8Array): Promise<Answer> =>
  postForm(`${app.url}/v1/runs`, { protocol: "full-load", ...ids, ...CASE.conditions }, log, { headers });
const get = (url: string) => app.inject({ url, headers });
const hashOf = async (runId: string) => (await app.database.run.findUniqueOrThrow({ where: { id: runId } })).logSha256;
const chunksOf = async (runId: string) => app.database.logChunk.count({ where: { sha256: await hashOf(runId) } });
const remove = async (runId: string) =>
  app.nest.get(LogRemovalsService).removeRefused(Buffer.from(await hashOf(runId)).toString("hex"));
const storedBytes = async () => Number((await app.database.storedLogs.findUniqueOrThrow({ where: { id: 1 } })).bytes);
const makeOld = (runId: string) =>
  app.database.$executeRaw`UPDATE run SET failed_at = now() - interval '25 hours' WHERE id = ${runId}::uuid`;

const jobs = () => app.database.$queryRaw<{ runAt: Date; hours: number }[]>`
  SELECT run_at AS "runAt", extract(epoch FROM run_at - created_at)::float8 / 3600 AS hours
  FROM graphile_worker.jobs WHERE task_identifier = 'remove-log'`;
const dropJobs = () => app.database.$queryRaw`
  SELECT count(*) FROM (
    SELECT graphile_worker.complete_jobs(array_agg(id)) FROM graphile_worker.jobs WHERE task_identifier = 'remove-log'
  ) AS dropped`;

describe("a log that was refused", () => {
  it("is kept for a day, which the answer says, and goes then; run, digest and refusal stay", async () => {
    const before = await storedBytes();
    const { status, body } = await upload(UNREADABLE);
    const { runId } = body;
    const dayLater = Date.parse((body as unknown as { logKeptUntil: string }).logKeptUntil) - Date.now();
    expect(status).toBe(422);
    expect(Math.abs(dayLater - 86_400_000)).toBeLessThan(600_000);
    expect(await remove(runId)).toBe(false);
    expect((await get(`/v1/runs/${runId}/log`)).rawPayload).toEqual(UNREADABLE);
    const [job] = await jobs();
    expect(job?.hours).toBeGreaterThan(23.9);
    expect(job?.hours).toBeLessThan(24.1);

    await makeOld(runId);
    expect(await remove(runId)).toBe(true);
    expect(await chunksOf(runId)).toBe(0);
    expect(await storedBytes()).toBe(before);
    const gone = await get(`/v1/runs/${runId}/log`);
    expect([gone.statusCode, gone.json<{ type: string }>().type]).toEqual([410, "/problems/log-removed"]);
    const run = (await get(`/v1/runs/${runId}`)).json();
    expect(run).toMatchObject({ state: "failed", log: { bytes: UNREADABLE.length, keptUntil: null } });
    expect(run.error.code).toMatch(/^log-/);
    expect(Date.parse(run.log.removedAt)).toBeLessThanOrEqual(Date.now() + 60_000);
  });

  it("is stored and tried again when its tester sends it again", async () => {
    const { status, body } = await upload(UNREADABLE);
    expect(status).toBe(422);
    expect((body as unknown as { logKeptUntil: string }).logKeptUntil).toBeTruthy();
    expect((await get(`/v1/runs/${body.runId}/log`)).rawPayload).toEqual(UNREADABLE);
    expect(await storedBytes()).toBe(UNREADABLE.length);
  });

  it("stays while a moderator asks about it, and when the fault was the service's", async () => {
    const { body } = await upload(Buffer.from("x,y,z\n1,2,3\n2,3,4\n3,4,5\n"));
    await makeOld(body.runId);
    for (const data of [
      { review: "info-requested" },
      { review: "pending", error: { code: "internal-error", message: "" } },
    ]) {
      await app.database.run.update({ where: { id: body.runId }, data });
      await dropJobs();
      expect(await remove(body.runId)).toBe(false);
      // What a moderator asks about is looked at again; a fault of the service is no refusal.
      expect(await jobs()).toHaveLength("error" in data ? 0 : 1);
    }
    expect(await chunksOf(body.runId)).toBe(1);
  });

  it("is queued to go when an earlier version refused it, for once", async () => {
    await upload(UNREADABLE);
    await dropJobs();
    const service = app.nest.get(LogRemovalsService);
    await service.queueMissing();
    const queued = await jobs();
    expect(queued).toHaveLength(1);
    expect(queued[0]?.hours).toBeCloseTo(24, 0);
    await service.queueMissing();
    expect(await jobs()).toEqual(queued);
  });
});

it("a log that was evaluated is never removed, by nobody", async () => {
  const { body } = await upload(CASE.log);
  expect(body.state).toBe("processed");
  expect(body.log).toMatchObject({ keptUntil: null, removedAt: null });
  await makeOld(body.id);
  expect(await remove(body.id)).toBe(false);
  const sha256 = await hashOf(body.id);
  await expect(app.database.$executeRaw`DELETE FROM log_chunk WHERE sha256 = ${sha256}`).rejects.toThrow(
    /refused a day ago/,
  );
  await expect(app.database.$executeRaw`TRUNCATE log_chunk`).rejects.toThrow(/never changed/);
  await expect(app.database.$executeRaw`UPDATE log_chunk SET position = 7`).rejects.toThrow(/never changed/);
});

it("a file that is no log is refused with its digest alone, and not evaluated", async () => {
  const before = await storedBytes();
  const { status, body } = await upload(Uint8Array.from(randomBytes(2 ** 20)));
  expect([status, body.type]).toEqual([422, "/problems/log-not-text"]);
  expect((body as unknown as { logRemovedAt: string }).logRemovedAt).toBeTruthy();
  expect(await chunksOf(body.runId)).toBe(0);
  expect(await storedBytes()).toBe(before);
  const run = (await get(`/v1/runs/${body.runId}`)).json();
  expect(run).toMatchObject({ state: "failed", error: { code: "log-not-text" }, log: { bytes: 2 ** 20 } });
  const events = (await get(`/v1/runs/${body.runId}/history`)).json<{ items: { event: string }[] }>();
  expect(events.items.map(({ event }) => event).sort()).toEqual(["fail", "start", "upload"]);
});

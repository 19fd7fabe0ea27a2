import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { TestApp } from "../../../test/support/app.js";
import { newestProtocol } from "../../../test/support/protocols.js";
import { type Headers, type ReevaluationTest, startReevaluationTest } from "../../../test/support/reevaluation-test.js";
import { uploadCase } from "../../../test/support/uploads.js";
import { COMPUTATION_VERSION } from "../../core/model.js";
import { PROTOCOLS } from "../../core/protocol/index.js";
import { ReevaluationsRepository } from "./reevaluations.repository.js";
import { ReevaluationsService } from "./reevaluations.service.js";
import type { ReevaluationView } from "./reevaluations.views.js";

let admin: Headers;

let reevaluations: ReevaluationTest;
let app: TestApp;
let runs: Record<string, string>;
beforeAll(async () => {
  reevaluations = await startReevaluationTest();
  ({ app, runs } = reevaluations);
  admin = await app.signIn("ada", "administrator");
  const pending = await uploadCase(app, reevaluations.anna, "Alpha", "spikes");
  runs.pending = pending.body.id;
});
afterAll(() => app.close());

const post: ReevaluationTest["post"] = (...sent) => reevaluations.post(...sent);
const get = <T>(url: string, headers?: Headers) => reevaluations.get<T>(url, headers);
const ranking = () => reevaluations.ranking();
const untilEnded = (id: string) => reevaluations.untilEnded(id);

describe("a program that computes otherwise", () => {
  it("evaluates at its start what an older one made, once", async () => {
    await app.database.activeVersion.updateMany({ data: { computationVersion: 1 } });
    await app.database.$executeRaw`ALTER TABLE evaluation DISABLE TRIGGER evaluation_is_immutable`;
    await app.database.evaluation.updateMany({ data: { computationVersion: 1 } });
    await app.nest.get(ReevaluationsService).startWhereOutdated();
    await app.nest.get(ReevaluationsService).startWhereOutdated();
    const begun = await app.database.reevaluation.findMany({ where: { requestedById: null } });
    expect(begun.map(({ protocolKey }) => protocolKey).sort()).toEqual(
      [...new Set(PROTOCOLS.map(({ key }) => key))].sort(),
    );
    for (const { id } of begun) expect(await untilEnded(id)).toMatchObject({ state: "finished" });
    for (const { computationVersion } of await ranking()) expect(computationVersion).toBe(COMPUTATION_VERSION);
  });
});

describe("one at a time", () => {
  it("is at work for a protocol, and can be cancelled without effect", async () => {
    await app.database.reevaluation.create({
      data: {
        protocolKey: "two-pulse",
        protocolVersion: newestProtocol("two-pulse").version,
        computationVersion: COMPUTATION_VERSION,
        dryRun: false,
        total: 1,
      },
    });
    const refused = await post("/v1/reevaluations", { protocol: "two-pulse" });
    expect(refused.statusCode).toBe(409);
    const { existingId } = refused.json<{ existingId: string }>();
    const cancel = () => app.inject({ method: "DELETE", url: `/v1/reevaluations/${existingId}`, headers: admin });
    expect((await cancel()).json()).toMatchObject({ state: "cancelled", effects: null });
    expect((await cancel()).statusCode).toBe(409);
    expect((await reevaluations.reevaluate({ protocol: "two-pulse" })).ended).toMatchObject({
      state: "finished",
      total: 0,
    });
  });
});

describe("a process of another version", () => {
  it("gives up nothing that a process of the version asked for has yet to do", async () => {
    const runId = runs.Alpha ?? "";
    const { id } = await app.database.reevaluation.create({
      data: {
        protocolKey: "two-pulse",
        protocolVersion: newestProtocol("two-pulse").version,
        computationVersion: 1000,
        dryRun: false,
      },
    });
    const queueLastTry = (task: string, payload: object, key: string) => app.database.$executeRaw`
      SELECT graphile_worker.add_job(${task}, ${JSON.stringify(payload)}::json, job_key => ${key}, max_attempts => 1)`;
    const queuedAgain = async (key: string) => {
      const [job] = await app.database.$queryRaw<{ most: number }[]>`
        SELECT max_attempts::int AS most FROM graphile_worker.jobs WHERE key = ${key}`;
      return (job?.most ?? 0) > 1;
    };
    const finish = `finish-reevaluation:${id}`;
    await queueLastTry("finish-reevaluation", { reevaluationId: id }, finish);
    while (!(await queuedAgain(finish))) await delay(20);
    await app.database.reevaluationRun.create({ data: { reevaluationId: id, runId } });
    await app.database.reevaluation.update({ where: { id }, data: { total: 1 } });
    const evaluate = `reevaluate-run:${id}:${runId}`;
    await queueLastTry("reevaluate-run", { reevaluationId: id, runId }, evaluate);
    while (!(await queuedAgain(evaluate))) await delay(20);
    expect(await app.database.reevaluationRun.findMany({ where: { reevaluationId: id } })).toMatchObject([
      { outcome: "pending", error: null },
    ]);
    expect(await get(`/v1/reevaluations/${id}`)).toMatchObject({ state: "evaluating", done: 0 });
    const cancelled = await app.inject({ method: "DELETE", url: `/v1/reevaluations/${id}`, headers: admin });
    expect(cancelled.statusCode).toBe(200);
  });
});

describe("the end of a re-evaluation", () => {
  it("misses no run that is stored, under what counted until then, at that very moment", async () => {
    const id = runs.pending ?? "";
    const lockWaits = async () => {
      const [waits] = await app.database.$queryRaw<{ locks: number }[]>`
        SELECT count(*)::int AS locks FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`;
      return waits?.locks ?? 0;
    };
    const started = await app.database.$transaction(
      async (tx) => {
        await tx.$queryRaw`SELECT FROM active_version WHERE protocol_key = 'two-pulse' FOR SHARE`;
        const { id: begun } = (await post("/v1/reevaluations", { protocol: "two-pulse" })).json<ReevaluationView>();
        while ((await lockWaits()) === 0) await delay(20);
        await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
        await tx.$executeRaw`UPDATE run SET protocol_key = 'two-pulse', protocol_version = ${newestProtocol("two-pulse").version} WHERE id = ${id}::uuid`;
        await tx.$executeRaw`
          UPDATE evaluation SET protocol_key = 'two-pulse', protocol_version = ${newestProtocol("two-pulse").version}, computation_version = '1'
          WHERE run_id = ${id}::uuid`;
        return begun;
      },
      { timeout: 30_000 },
    );
    expect(await untilEnded(started)).toMatchObject({ state: "finished", total: 1, done: 1 });
  });

  it("comes also when the runs that it still lacked are withdrawn before they are queued", async () => {
    const { id } = await app.database.reevaluation.create({
      data: {
        protocolKey: "rated-capacity",
        protocolVersion: newestProtocol("rated-capacity").version,
        computationVersion: COMPUTATION_VERSION,
        dryRun: false,
      },
    });
    const repository = app.nest.get(ReevaluationsRepository);
    await repository.transaction((tx) => repository.addRuns(tx, id));
    expect(await untilEnded(id)).toMatchObject({ state: "finished", total: 0 });
  });
});

import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { uploadDemoRun } from "../../../test/support/demo-run.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { newestProtocol, nextFullLoad } from "../../../test/support/protocols.js";
import { postForm, uploadCase } from "../../../test/support/uploads.js";
import { COMPUTATION_VERSION } from "../../core/model.js";
import { PROTOCOLS, type ProtocolDocument } from "../../core/protocol/index.js";
import type { StandingView } from "../rankings/rankings.views.js";
import type { Effects } from "./effects.js";
import { ReevaluationsRepository } from "./reevaluations.repository.js";
import { ReevaluationsService } from "./reevaluations.service.js";
import type { ReevaluationView } from "./reevaluations.views.js";

type Headers = { authorization: string };

/** Logs at 20, 10 and 25 Hz, of three packs. */
const CASES = { Alpha: "plain-20hz", Beta: "truth-4s-10hz", Gamma: "jitter-25hz" } as const;
const NEWEST = newestProtocol("full-load");
const NEXT = nextFullLoad(15);

let app: TestApp;
let admin: Headers;
let moderator: Headers;
let anna: Headers;
const runs: Record<string, string> = {};
beforeAll(async () => {
  app = await startTestApp();
  admin = await app.signIn("ada", "administrator");
  moderator = await app.signIn("mona", "moderator");
  anna = await app.signIn("anna");
  for (const [pack, name] of Object.entries(CASES)) {
    const { body } = await uploadCase(app, anna, pack, name);
    runs[pack] = body.id;
    const accepted = await post(
      `/v1/runs/${body.id}/reviews`,
      { decision: "accept", rules: [], note: "Looked at." },
      moderator,
    );
    expect(accepted.statusCode).toBe(201);
  }
});
afterAll(() => app.close());

const post = (url: string, payload: object, headers = admin) => app.inject({ method: "POST", url, payload, headers });
const decide = (name: string, decision: string) =>
  post(`/v1/runs/${runs[name]}/reviews`, { decision, rules: [], note: "Looked at." }, moderator);
const get = async <T>(url: string, headers = admin): Promise<T> => (await app.inject({ url, headers })).json<T>();
const publish = (document: unknown) => post("/v1/protocols/full-load/versions", document as object);
const ranking = async () => (await get<{ items: StandingView[] }>("/v1/rankings/power-10s")).items;
const run = (pack: string) =>
  get<{ review: string; protocol: { version: number }; uploadedUnderVersion: number }>(`/v1/runs/${runs[pack]}`);

async function untilEnded(id: string): Promise<ReevaluationView> {
  for (;;) {
    const found = await get<ReevaluationView>(`/v1/reevaluations/${id}`);
    if (found.state !== "evaluating") return found;
    await delay(20);
  }
}

async function reevaluate(input: object): Promise<ReevaluationView> {
  const started = await post("/v1/reevaluations", { protocol: "full-load", ...input });
  expect([started.statusCode, started.body]).toEqual([202, expect.any(String)]);
  const { id } = started.json<ReevaluationView>();
  expect(started.headers.location).toBe(`/v1/reevaluations/${id}`);
  return untilEnded(id);
}

describe("a dry run", () => {
  it("tells what a version would change before it is published, and changes nothing", async () => {
    const before = await ranking();
    const { effects, ...tried } = await reevaluate({ dryRun: true, document: NEXT });
    expect(tried).toMatchObject({ state: "finished", dryRun: true, total: 3, done: 3, failed: 0 });
    expect(effects).toMatchObject({
      verdicts: expect.arrayContaining([{ from: "conforming", to: "nonconforming", runs: 1 }]),
      verdictsChanged: 1,
      acceptanceRevoked: 1,
      runs: [
        {
          runId: runs.Beta,
          review: "accepted",
          from: "conforming",
          to: "nonconforming",
          failedRules: ["sampling-rate"],
        },
      ],
    });
    expect(await ranking()).toEqual(before);
    expect(await app.database.evaluation.count()).toBe(3);
    expect(await app.database.protocol.count({ where: { version: NEXT.version } })).toBe(0);
    expect(await app.database.reevaluationRun.count({ where: { result: { not: {} } } })).toBe(0);
  });

  it("tells that the version that counts changes nothing", async () => {
    const { effects } = await reevaluate({ dryRun: true });
    expect(effects).toMatchObject({ verdictsChanged: 0, standingsChanged: 0, placesChanged: 0, acceptanceRevoked: 0 });
    expect(effects?.standings).toBe(await app.database.standing.count());
  });
});

describe("a version of a protocol", () => {
  const faults = async (document: unknown) =>
    (await publish(document)).json<{ errors: { pointer: string }[] }>().errors.map(({ pointer }) => pointer);

  it("is published only if it is the next one and sound", async () => {
    expect(await faults(NEWEST)).toEqual(["/version"]);
    expect(await faults({ ...NEXT, key: "two-pulse" })).toEqual(["/key"]);
    expect(await faults({ ...NEXT, version: NEXT.version + 1, surprise: 1 })).toEqual(["/surprise"]);
    const [first, ...rules] = NEXT.rules as [ProtocolDocument["rules"][number]];
    expect(await faults({ ...NEXT, rules: [{ ...first, limit: {} }, ...rules] })).not.toEqual([]);
    expect((await post("/v1/reevaluations", { protocol: "full-load", document: NEXT })).statusCode).toBe(422);
    const tried = await post("/v1/reevaluations", { protocol: "full-load", dryRun: true, document: { key: "x" } });
    expect(tried.json<{ errors: { pointer: string }[] }>().errors[0]?.pointer).toMatch(/^\/document\//);
    expect((await post("/v1/protocols/none/versions", NEXT)).statusCode).toBe(404);
  });

  it("is published for good, noted in the record, and counts for nothing yet", async () => {
    const { body } = await app.graphql(
      'mutation($document: JsonObject!) { publishProtocolVersion(key: "full-load", document: $document) { version active } }',
      { variables: { document: NEXT }, headers: admin },
    );
    expect(body.data).toEqual({ publishProtocolVersion: { version: NEXT.version, active: false } });
    expect((await publish(NEXT)).statusCode).toBe(422);
    expect(await get("/v1/protocols/full-load")).toMatchObject({
      version: NEXT.version,
      active: false,
      document: NEXT,
    });
    expect(await get(`/v1/protocols/full-load/versions/${NEWEST.version}`)).toMatchObject({
      version: NEWEST.version,
      active: true,
    });
    const published = await app.database.auditEntry.findMany({
      where: { subjectId: `full-load/${NEXT.version}`, event: "publish" },
    });
    expect(published).toHaveLength(1);
    expect((await ranking()).map(({ protocolVersion }) => protocolVersion)).toEqual(Array(3).fill(NEWEST.version));
  });

  it("is what new uploads are judged by, which do not count until it does", async () => {
    const bert = await app.signIn("bert");
    const { body } = await uploadCase(app, bert, "Alpha", "spikes");
    expect(body).toMatchObject({ protocol: { version: NEXT.version }, uploadedUnderVersion: NEXT.version });
    runs.later = body.id;
    const accepted = await post(
      `/v1/runs/${body.id}/reviews`,
      { decision: "accept", rules: [], note: "Looked at." },
      moderator,
    );
    expect(accepted.json()).toMatchObject({ review: "accepted" });
    expect(await app.database.standing.count({ where: { runs: { gt: 1 } } })).toBe(0);
  });
});

describe("a re-evaluation", () => {
  let foretold: Effects | null;

  beforeAll(async () => {
    // Two runs whose logs cannot be read any more when it is their turn; one of them is accepted.
    const { authorization } = anna;
    runs.accepted = await uploadDemoRun(app, { authorization }, "run-01", { protocolVersion: NEWEST.version });
    runs.pending = await uploadDemoRun(app, { authorization }, "run-05", { protocolVersion: NEWEST.version });
    runs.undecided = await uploadDemoRun(app, { authorization }, "run-02", { protocolVersion: NEWEST.version });
    const accepted = await decide("accepted", "accept");
    expect(accepted.json()).toMatchObject({ review: "accepted" });
    await app.database.$transaction(async (tx) => {
      await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
      await tx.$executeRaw`
        UPDATE log_chunk SET bytes = 'gone' FROM run
        WHERE run.log_sha256 = log_chunk.sha256 AND run.id IN (${runs.accepted}::uuid, ${runs.pending}::uuid)`;
    });
  });

  it("is announced by a dry run to the digit", async () => {
    foretold = (await reevaluate({ dryRun: true })).effects;
    expect(foretold).toMatchObject({ verdictsChanged: 3, acceptanceRevoked: 2 });
  });

  it("switches every run and standing at once, and keeps what was before", async () => {
    const { effects, ...ended } = await reevaluate({ protocolVersion: NEXT.version });
    // The run that was uploaded under the next version is not evaluated again.
    expect(ended).toMatchObject({ state: "finished", dryRun: false, total: 6, done: 6, failed: 2 });
    expect(effects?.standingChanges).toEqual(foretold?.standingChanges);
    expect(effects?.runs).toEqual(foretold?.runs);
    const standings = await ranking();
    expect(standings.map(({ pack, protocolVersion }) => [pack.name, protocolVersion]).sort()).toEqual([
      ["Alpha", NEXT.version],
      ["Gamma", NEXT.version],
    ]);
    expect(await get(`/v1/protocols/full-load/versions/${NEWEST.version}`)).toMatchObject({ active: false });
    const { items } = await get<{ items: { isCurrent: boolean; protocol: { version: number } }[] }>(
      `/v1/runs/${runs.Alpha}/evaluations`,
    );
    expect(items.map(({ isCurrent, protocol }) => [protocol.version, isCurrent])).toEqual([
      [NEXT.version, true],
      [NEWEST.version, false],
    ]);
    expect(await run("Alpha")).toMatchObject({
      review: "accepted",
      protocol: { version: NEXT.version },
      uploadedUnderVersion: NEWEST.version,
    });
  });

  it("lets accepted runs that conform no more wait for a moderator, and says why", async () => {
    expect(await run("Beta")).toMatchObject({ review: "pending", conformance: { verdict: "nonconforming" } });
    const { items } = await get<{ items: { event: string; rules: string[] }[] }>(`/v1/runs/${runs.Beta}/history`, anna);
    expect(items.at(-1)).toMatchObject({
      event: "revoke-acceptance",
      rules: ["sampling-rate"],
      reason: expect.stringContaining(`version ${NEXT.version}`),
    });
  });

  it("has runs compared with all others anew that nobody has decided on", async () => {
    const { currentEvaluation } = await app.database.run.findUniqueOrThrow({
      where: { id: runs.undecided ?? "" },
      include: { currentEvaluation: true },
    });
    const where = { runId: runs.undecided ?? "", checkedAt: { gte: currentEvaluation?.createdAt ?? new Date() } };
    expect(currentEvaluation?.protocolVersion).toBe(NEXT.version);
    while ((await app.database.copyFingerprint.count({ where })) === 0) await delay(20);
  });

  it("lets a run whose log could not be evaluated count no more, and nobody accept it", async () => {
    expect(await run("accepted")).toMatchObject({
      review: "pending",
      protocol: { version: NEWEST.version },
    });
    for (const name of ["accepted", "pending"]) {
      const refused = await decide(name, "accept");
      expect(refused.json()).toMatchObject({
        type: "/problems/decision-not-possible",
        detail: expect.stringContaining(`could not be evaluated under version ${NEXT.version}`),
      });
    }
    expect((await decide("accepted", "reject")).json()).toMatchObject({ review: "rejected" });
  });

  it("is noted in the record, with what counted before", async () => {
    const counted = await app.database.auditEntry.findMany({ where: { subjectKind: "protocol", event: "activate" } });
    expect(counted).toMatchObject([
      {
        fromState: `${NEWEST.version}/${COMPUTATION_VERSION}`,
        toState: `${NEXT.version}/${COMPUTATION_VERSION}`,
      },
    ]);
  });

  it("never goes back, and no upload does", async () => {
    const back = await post("/v1/reevaluations", { protocol: "full-load", protocolVersion: NEWEST.version });
    expect(back.json<{ errors: object[] }>().errors).toMatchObject([{ pointer: "/protocolVersion" }]);
    const { specimenId, benchId } = await app.database.run.findUniqueOrThrow({ where: { id: runs.Alpha ?? "" } });
    const upload = { protocol: "full-load", protocolVersion: NEWEST.version, specimenId, benchId };
    const answer = await postForm(`${app.url}/v1/runs`, upload, Buffer.from("time,voltage\n"), { headers: anna });
    expect(answer.body).toMatchObject({ errors: [{ pointer: "/protocolVersion" }] });
  });

  it("never goes back to an older computation either, as a process of an older version would", async () => {
    const where = { protocolKey: "two-pulse" };
    const before = await app.database.activeVersion.findUniqueOrThrow({ where });
    await app.database.activeVersion.update({ where, data: { computationVersion: 1000 } });
    const refused = await post("/v1/reevaluations", { protocol: "two-pulse" });
    expect(refused.json()).toMatchObject({ type: "/problems/decision-not-possible" });
    await app.database.activeVersion.update({ where, data: before });
  });

  it("finds a log again that was uploaded under an older version", async () => {
    const again = await uploadCase(app, anna, "Alpha", CASES.Alpha);
    expect([again.status, again.body.id]).toEqual([200, runs.Alpha]);
  });

  it("is alike in both APIs", async () => {
    const [newest] = (await get<{ items: ReevaluationView[] }>("/v1/reevaluations")).items;
    const { body } = await app.graphql(
      `query($id: ID!) { reevaluation(id: $id) { id state total done failed dryRun createdAt finishedAt computationVersion
        protocol { key version } requestedBy { id handle } effects { verdictsChanged acceptanceRevoked standings standingsChanged placesChanged
        verdicts { from to runs } runs { runId review from to failedRules }
        standingChanges { packId figure load unit from { value uncertainty place } to { value uncertainty place } } } }
        reevaluations(first: 1) { edges { node { id } } } }`,
      { variables: { id: newest?.id }, headers: admin },
    );
    const reevaluations = { edges: [{ node: { id: newest?.id } }] };
    expect(inRestWords(body.data)).toEqual({ reevaluation: newest, reevaluations });
  });
});

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
    expect(await reevaluate({ protocol: "two-pulse" })).toMatchObject({ state: "finished", total: 0 });
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

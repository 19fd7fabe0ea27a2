import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { TestApp } from "../../../test/support/app.js";
import { uploadDemoRun } from "../../../test/support/demo-run.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { newestProtocol, nextFullLoad } from "../../../test/support/protocols.js";
import {
  CASES,
  type Headers,
  type ReevaluationTest,
  startReevaluationTest,
} from "../../../test/support/reevaluation-test.js";
import { postForm, uploadCase } from "../../../test/support/uploads.js";
import { COMPUTATION_VERSION } from "../../core/model.js";
import type { NoticeList } from "../notices/notices.views.js";
import type { Effects } from "./effects.js";
import type { ReevaluationView } from "./reevaluations.views.js";

const NEWEST = newestProtocol("full-load");
const NEXT = nextFullLoad(15);
let anna: Headers;

let reevaluations: ReevaluationTest;
let app: TestApp;
let runs: Record<string, string>;
beforeAll(async () => {
  reevaluations = await startReevaluationTest();
  ({ app, runs } = reevaluations);
  anna = reevaluations.anna;
  expect((await post("/v1/protocols/full-load/versions", NEXT)).statusCode).toBe(201);
  // A run that is uploaded under the next version is not evaluated again.
  const later = await uploadCase(app, await app.signIn("bert"), "Alpha", "spikes");
  runs.later = later.body.id;
  expect((await decide("later", "accept")).json()).toMatchObject({ review: "accepted" });
});
afterAll(() => app.close());

const post: ReevaluationTest["post"] = (...sent) => reevaluations.post(...sent);
const get = <T>(url: string, headers?: Headers) => reevaluations.get<T>(url, headers);
const ranking = () => reevaluations.ranking();
const decide: ReevaluationTest["decide"] = (...sent) => reevaluations.decide(...sent);
const run = (pack: string) =>
  get<{ review: string; protocol: { version: number }; uploadedUnderVersion: number }>(`/v1/runs/${runs[pack]}`);

async function reevaluate(input: object): Promise<ReevaluationView> {
  const { location, ended } = await reevaluations.reevaluate(input);
  expect(location).toBe(`/v1/reevaluations/${ended.id}`);
  return ended;
}

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
        UPDATE log_chunk SET bytes = 'gone', packed = NULL FROM run
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
    expect(await reevaluations.isActive(NEWEST.version)).toBe(false);
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

  it("tells testers of runs with another verdict, by what it came to, and nothing by a dry run", async () => {
    const { items } = await get<NoticeList>("/v1/notices?unread=true", anna);
    const told = items.filter(({ kind }) => kind === "acceptance-revoked" || kind === "verdict-changed");
    expect(told.map(({ kind, subject }) => `${kind} ${subject.id}`).sort()).toEqual(
      [
        `acceptance-revoked ${runs.Beta}`,
        `acceptance-revoked ${runs.accepted}`,
        `verdict-changed ${runs.pending}`,
      ].sort(),
    );
    expect(told.find(({ kind }) => kind === "verdict-changed")?.text).toContain("Now: could not be evaluated.");
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
      { variables: { id: newest?.id }, headers: await app.signIn("ada", "administrator") },
    );
    const reevaluations = { edges: [{ node: { id: newest?.id } }] };
    expect(inRestWords(body.data)).toEqual({ reevaluation: newest, reevaluations });
  });
});

import { createHash } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { AutoAcceptService } from "../../src/features/auto-accept/auto-accept.service.js";
import type { EvidenceView } from "../../src/features/reviews/evidence.views.js";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadDemoRun } from "../support/demo-run.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "PUT" | "DELETE";

const RULE = {
  enabled: true,
  moderatorAcceptances: 1,
  noRejectionDays: 30,
  accountDays: 0,
  otherTesters: 2,
  maxDeviationPercent: 5,
  maxPerDay: 2,
  sampleOneIn: 1000,
  reason: "The queue is long.",
};

let app: TestApp;
let administrator: Headers;
let mona: Headers;
let slipstream: Headers;
/** A run like those of three others, by a tester with an accepted run. */
let run: string;
beforeAll(async () => {
  app = await startTestApp();
  administrator = await app.signIn("ada", "administrator");
  mona = await app.signIn("mona", "moderator");
  slipstream = await app.signIn("slipstream");
  for (const [handle, key] of [
    ["keelbench", "run-06"],
    ["gravelnotes", "run-07"],
    ["tidewatch", "run-08"],
  ] as const) {
    await accept(await uploadDemoRun(app, await app.signIn(handle), key));
  }
  run = await uploadDemoRun(app, slipstream, "run-09");
});
afterAll(() => app.close());

const ask = (method: Method, url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const decide = (id: string, decision: string) =>
  ask("POST", `/v1/runs/${id}/reviews`, mona, { decision, rules: [], note: "Looked at." });
const accept = async (id: string) => expect((await decide(id, "accept")).statusCode).toBe(201);
const setRule = async (more: object) =>
  expect((await ask("PUT", "/v1/auto-accept-policy", administrator, { ...RULE, ...more })).statusCode).toBe(200);
const consider = (id: string) => app.nest.get(AutoAcceptService).consider(id);
const reviewOf = async (id: string) => (await ask("GET", `/v1/runs/${id}`, mona)).json<{ review: string }>().review;

const evidenceOf = async (id: string) => (await ask("GET", `/v1/reviews/${id}/evidence`, mona)).json<EvidenceView>();
const unmet = async (id = run) =>
  (await evidenceOf(id)).acceptance.terms.filter(({ met }) => !met).map(({ term }) => term);

/** A change to what the record holds, which the record itself refuses. */
const tamper = (statement: string) =>
  app.database.$transaction(async (tx) => {
    await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
    await tx.$executeRawUnsafe(statement);
  });

describe("the acceptance rule", () => {
  it("is off until an administrator sets it", async () => {
    const rule = (await ask("GET", "/v1/auto-accept-policy", mona)).json();
    expect(rule).toMatchObject({ enabled: false, version: 0, setBy: null });
    expect(await consider(run)).toBe(false);
    expect(await reviewOf(run)).toBe("pending");
    expect((await ask("PUT", "/v1/auto-accept-policy", mona, RULE)).statusCode).toBe(403);
  });

  it.each([
    ["/sampleOneIn", { sampleOneIn: 1 }],
    ["/otherTesters", { otherTesters: 0 }],
    ["/moderatorAcceptances", { moderatorAcceptances: 0 }],
    ["/maxDeviationPercent", { maxDeviationPercent: 0 }],
    ["/reason", { reason: "" }],
  ])("cannot be set so that it asks for nothing: %s", async (pointer, more) => {
    const answer = await ask("PUT", "/v1/auto-accept-policy", administrator, { ...RULE, ...more });
    expect(answer.json()).toMatchObject({ status: 422, errors: [{ pointer }] });
  });

  it("does not accept runs of testers whom no moderator knows, and says so beside the evidence", async () => {
    await setRule({});
    expect(await unmet()).toEqual(["accepted-by-moderators"]);
    expect(await consider(run)).toBe(false);
    await accept(await uploadDemoRun(app, slipstream, "run-12"));
    await setRule({ enabled: false });
    expect(await unmet()).toEqual([]);
    expect(await consider(run)).toBe(false);
  });

  const own = () => `(SELECT tester_id FROM run WHERE id = '${run}')`;
  const evaluation = () => `(SELECT current_evaluation_id FROM run WHERE id = '${run}')`;
  const CASES: readonly [string, () => string, () => string][] = [
    [
      "untouched",
      () => `UPDATE run SET appealed = true WHERE id = '${run}'`,
      () => `UPDATE run SET appealed = false WHERE id = '${run}'`,
    ],
    [
      "untouched",
      () =>
        `INSERT INTO review_claim (run_id, moderator_id, until) SELECT '${run}', id, now() + interval '1 hour' FROM account WHERE handle = 'mona'`,
      () => "DELETE FROM review_claim",
    ],
    [
      "untouched",
      () =>
        `UPDATE run SET replaced_by_id = '${run}', review_state = 'withdrawn', withdrawal = 1 WHERE review_state = 'accepted' AND tester_id = ${own()}`,
      () =>
        "UPDATE run SET replaced_by_id = NULL, review_state = 'accepted', withdrawal = 0 WHERE replaced_by_id IS NOT NULL",
    ],
    [
      "conforming",
      () => `UPDATE evaluation SET verdict = 'nonconforming' WHERE id = ${evaluation()}`,
      () => `UPDATE evaluation SET verdict = 'conforming' WHERE id = ${evaluation()}`,
    ],
    [
      "no-failed-advice",
      () =>
        `INSERT INTO finding (evaluation_id, position, rule, severity, outcome, "limit", unit, message) VALUES (${evaluation()}, 999, 'trial', 'advised', 'fail', '', '', '')`,
      () => "DELETE FROM finding WHERE rule = 'trial'",
    ],
    [
      "compared",
      () => `UPDATE copy_fingerprint SET checked_at = checked_at - interval '1 day' WHERE run_id = '${run}'`,
      () => `UPDATE copy_fingerprint SET checked_at = checked_at + interval '1 day' WHERE run_id = '${run}'`,
    ],
    [
      "no-copy",
      () =>
        `INSERT INTO copy_match (earlier_run_id, later_run_id, method, agreements) SELECT min(id::text)::uuid, '${run}', 'x', '[{}]' FROM run`,
      () => "DELETE FROM copy_match WHERE method = 'x'",
    ],
    [
      "new-log",
      () =>
        `UPDATE run SET log_sha256 = (SELECT log_sha256 FROM run WHERE id = '${run}') WHERE id = (SELECT id FROM run WHERE review_state = 'accepted' AND tester_id = ${own()})`,
      () => `UPDATE run SET log_sha256 = (SELECT log_sha256 FROM evaluation WHERE id = run.current_evaluation_id)`,
    ],
    [
      "accepted-by-moderators",
      () => `UPDATE run SET review_state = 'rejected' WHERE review_state = 'accepted' AND tester_id = ${own()}`,
      () => `UPDATE run SET review_state = 'accepted' WHERE review_state = 'rejected' AND tester_id = ${own()}`,
    ],
    [
      "pack-of-another",
      () => `UPDATE pack SET created_by_id = ${own()} WHERE name = 'Ridge'`,
      () => "UPDATE pack SET created_by_id = (SELECT id FROM account WHERE handle = 'keelbench') WHERE name = 'Ridge'",
    ],
    [
      "near-others",
      () =>
        `UPDATE figure SET value = value * 1.2, uncertainty = value WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
      () =>
        `UPDATE figure SET value = value / 1.2, uncertainty = 10 WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
    ],
    [
      "agrees-with-others",
      () =>
        `UPDATE figure SET value = value * 1.04, uncertainty = uncertainty / 1e6 WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
      () =>
        `UPDATE figure SET value = value / 1.04, uncertainty = uncertainty * 1e6 WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
    ],
    [
      "ranked-by-itself",
      () =>
        `UPDATE figure SET bound = 'lower' WHERE evaluation_id = ${evaluation()} AND key = 'energy' AND basis = 'translated'`,
      () =>
        `UPDATE figure SET bound = 'none' WHERE evaluation_id = ${evaluation()} AND key = 'energy' AND basis = 'translated'`,
    ],
  ];
  it.each(CASES)("looks at the record for %s", async (term, harm, mend) => {
    await tamper(harm());
    expect(await unmet()).toContain(term);
    await tamper(mend());
    expect(await unmet()).toEqual([]);
  });

  it("counts other testers and the account's age against its own limits", async () => {
    await setRule({ enabled: false, otherTesters: 4, accountDays: 1 });
    expect(await unmet()).toEqual(["account-age", "other-testers"]);
    await setRule({ enabled: false });
  });

  it.each([
    ["in its own class", 0],
    ["of another class, in the ranking of all packs", 1],
  ])("leaves it to a moderator when any pack would change places, in whichever direction: %s", async (_, moreCells) => {
    const { pack } = (await ask("GET", `/v1/runs/${run}`, mona)).json<{ pack: { id: string } }>();
    const { figures } = (await ask("GET", `/v1/runs/${run}`, mona)).json<{
      figures: { key: string; load: number | null; value: number }[];
    }>();
    const translated = figures.find((one) => one.key === "power-10s" && one.load !== null);
    const { load = null, value: found = 0 } = translated ?? {};
    const { value } = await app.database.standing.findFirstOrThrow({
      where: { packId: pack.id, figure: "power-10s", load: load ?? 0 },
    });
    expect(Math.abs(found - value)).toBeGreaterThan(1e-3);
    // Another pack that stands between where this one is and where the run would bring it.
    const between = value + (found > value ? 1e-6 : -1e-6);
    const rival = "00000000-0000-7000-8000-000000000001";
    await tamper(`INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, created_by_id)
      SELECT '${rival}', 'Rival', 'Rival', chemistry, series + ${moreCells}, parallel, rated_capacity_mah, created_by_id FROM pack WHERE id = '${pack.id}'`);
    await tamper(`INSERT INTO standing (protocol_key, protocol_version, computation_version, figure, load, pack_id, chemistry, series, rated_capacity_mah, value, unit, uncertainty, testers, runs, provisional, basis, sort_value)
      SELECT protocol_key, protocol_version, computation_version, figure, load, '${rival}', chemistry, series + ${moreCells}, rated_capacity_mah, ${between}, unit, uncertainty, testers, runs, provisional, basis, ${between}
      FROM standing WHERE pack_id = '${pack.id}' AND figure = 'power-10s' AND load = ${load}`);
    expect(await unmet()).toEqual(["places-stay"]);
    await tamper(`DELETE FROM standing WHERE pack_id = '${rival}'`);
    await tamper(`DELETE FROM pack WHERE id = '${rival}'`);
    expect(await unmet()).toEqual([]);
  });

  it("accepts once what meets it, although several processes look, and writes down rule, terms and reason", async () => {
    await setRule({});
    await Promise.all(Array.from({ length: 6 }, () => consider(run)));
    expect(await reviewOf(run)).toBe("accepted");
    const reviews = await app.database.review.findMany({ where: { runId: run }, include: { rule: true } });
    expect(reviews).toMatchObject([{ moderatorId: null, decision: "accept", previousReview: "pending" }]);
    const links = await app.database.auditEntry.findMany({
      where: { subjectId: run, event: "accept" },
      include: { reason: true },
    });
    expect(links).toMatchObject([{ actorId: reviews[0]?.rule?.actorId, fromState: "processed/pending" }]);
    expect(links[0]?.rules).toContain("places-stay");
    expect(links[0]?.reason?.text).toMatch(
      /^Accepted by the auto-accept policy, version \d+: untouched, .*other-testers \(3, limit 2\)/,
    );
    const ranking = (await ask("GET", "/v1/rankings/power-10s?chemistry=lipo&series=4", mona)).json<{
      items: { pack: { name: string }; testers: number }[];
    }>();
    expect(ranking.items.find(({ pack }) => pack.name === "Ridge")?.testers).toBe(4);
  });

  it("accepts no more of one tester in a day than it says", async () => {
    const next = await uploadDemoRun(app, slipstream, "run-15");
    await setRule({ enabled: false, maxPerDay: 1 });
    expect(await unmet(next)).toContain("few-today");
    await setRule({ enabled: false, maxPerDay: 2 });
    expect(await unmet(next)).not.toContain("few-today");
    await setRule({ enabled: false });
  });

  it("is undone by a moderator, whereupon the run waits for one, and its tester is in good standing no more", async () => {
    const { latestDecision } = await evidenceOf(run);
    const undo = (headers: Headers) => ask("DELETE", `/v1/reviews/${latestDecision?.id}`, headers);
    const rival = await app.signIn("rival", "moderator");
    await uploadDemoRun(app, rival, "run-11");
    expect((await undo(rival)).statusCode).toBe(403);
    expect((await undo(slipstream)).statusCode).toBe(403);
    expect((await undo(mona)).statusCode).toBe(204);
    expect(await reviewOf(run)).toBe("pending");
    expect(await consider(run)).toBe(false);
    expect(await unmet()).toEqual(["untouched", "no-blemish"]);
    expect((await undo(mona)).statusCode).toBe(409);
    await tamper("UPDATE audit_log SET at = at - interval '31 days' WHERE event = 'undo-to-pending'");
    expect(await unmet()).toEqual(["untouched"]);
    await tamper("UPDATE audit_log SET at = at + interval '31 days' WHERE event = 'undo-to-pending'");
    await accept(run);
  });

  it("sends a sample to the moderators all the same, by lot of the run's id", async () => {
    const isDrawn = (id: string, every: number) =>
      BigInt(`0x${createHash("sha256").update(id).digest("hex").slice(0, 12)}`) % BigInt(every) === 0n;
    let every = 2;
    while (!isDrawn(run, every) && every < 1000) every++;
    await setRule({ enabled: false, sampleOneIn: every });
    expect((await unmet()).includes("not-sampled")).toBe(isDrawn(run, every));
    const drawn = Array.from({ length: 4000 }, (_, i) => isDrawn(`run-${i}`, 10)).filter(Boolean).length;
    expect(Math.abs(drawn - 400)).toBeLessThan(100);
  });

  it("looks at what waits when it is switched on, by the queue", async () => {
    await tamper("UPDATE audit_log SET at = at - interval '31 days' WHERE event LIKE 'undo-%'");
    await tamper(`DELETE FROM review WHERE run_id = '${run}'`);
    await tamper(`UPDATE run SET review_state = 'pending' WHERE id = '${run}'`);
    await setRule({});
    while ((await reviewOf(run)) === "pending") await delay(50);
    expect(await reviewOf(run)).toBe("accepted");
  });

  it("has a version in the chained record for every change, with who, why and how much it asked for", async () => {
    const { version, setBy } = (await ask("GET", "/v1/auto-accept-policy", mona)).json<{
      version: number;
      setBy: { handle: string };
    }>();
    expect(setBy.handle).toBe("ada");
    const changes = await app.database.auditEntry.findMany({
      where: { subjectKind: "auto-accept-policy" },
      include: { reason: true },
      orderBy: { position: "asc" },
    });
    expect(changes.map(({ toState }) => toState?.split("/")[0])).toEqual(
      Array.from({ length: version }, (_, i) => `${i + 1}`),
    );
    expect(changes[0]).toMatchObject({ event: "set", fromState: null, toState: "1/on", reason: { text: RULE.reason } });
    expect(changes[0]?.rules).toContain("maxDeviationPercent 5");
    const { body } = await app.graphql("{ autoAcceptPolicy { version } }", { headers: mona });
    expect(body.data).toEqual({ autoAcceptPolicy: { version } });
  });
});

it("leaves a chain that holds", async () => {
  // The times that were moved above are moved back.
  await tamper("UPDATE audit_log SET at = at + interval '31 days' WHERE event LIKE 'undo-%'");
  expect(await verifyChain(app.database)).toMatchObject({ broken: null });
});

import { createHash, createHmac } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { isSampled } from "../../src/features/auto-accept/auto-accept-facts.repository.js";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import type { RunView } from "../../src/features/runs/runs.views.js";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import type { TestApp } from "../support/app.js";
import { AutoAcceptTest, type Headers, POLICY } from "../support/auto-accept-test.js";
import { uploadDemoRun } from "../support/demo-run.js";

let policy: AutoAcceptTest;
let app: TestApp;
/** A run like those of three others, by a tester with an accepted run. */
let run: string;
beforeAll(async () => {
  policy = await AutoAcceptTest.start();
  ({ app, run } = policy);
});
afterAll(() => app.close());

describe("the auto-accept policy", () => {
  it("is off until an administrator sets it", async () => {
    const rule = (await policy.ask("GET", "/v1/auto-accept-policy", policy.mona)).json();
    expect(rule).toMatchObject({ enabled: false, version: 0, setBy: null });
    expect(await policy.consider(run)).toBe(false);
    expect(await policy.reviewOf(run)).toBe("pending");
    expect((await policy.ask("PUT", "/v1/auto-accept-policy", policy.mona, POLICY)).statusCode).toBe(403);
  });

  it.each([
    ["/sampleOneIn", { sampleOneIn: 1 }],
    ["/otherTesters", { otherTesters: 0 }],
    ["/moderatorAcceptances", { moderatorAcceptances: 0 }],
    ["/maxDeviationPercent", { maxDeviationPercent: 0 }],
    ["/reason", { reason: "" }],
  ])("cannot be set so that it asks for nothing: %s", async (pointer, more) => {
    const answer = await policy.ask("PUT", "/v1/auto-accept-policy", policy.administrator, { ...POLICY, ...more });
    expect(answer.json()).toMatchObject({ status: 422, errors: [{ pointer }] });
  });

  it("does not accept runs of testers whom no moderator knows, and says so beside the evidence", async () => {
    await policy.setPolicy({});
    expect(await policy.unmet()).toEqual(["accepted-by-moderators"]);
    expect(await policy.consider(run)).toBe(false);
    await policy.accept(await uploadDemoRun(app, policy.slipstream, "run-12"));
    await policy.setPolicy({ enabled: false });
    expect(await policy.unmet()).toEqual([]);
    expect(await policy.consider(run)).toBe(false);
    const set = (await policy.ask("GET", "/v1/auto-accept-policy/versions", policy.mona)).json();
    expect(set.items).toMatchObject([
      { version: 2, enabled: false, setBy: { handle: "ada" }, reason: POLICY.reason },
      { version: 1, enabled: true, setBy: { handle: "ada" }, reason: POLICY.reason },
    ]);
    expect((await policy.ask("GET", "/v1/auto-accept-policy/versions", policy.slipstream)).statusCode).toBe(403);
  });

  it("accepts once what meets it, although several processes look, and writes down rule, terms and reason", async () => {
    await policy.setPolicy({});
    await Promise.all(Array.from({ length: 6 }, () => policy.consider(run)));
    expect(await policy.reviewOf(run)).toBe("accepted");
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
    const { packId } = (await app.database.run.findUniqueOrThrow({ where: { id: run }, include: { specimen: true } }))
      .specimen;
    const standings = await app.database.standing.findMany({ where: { packId, figure: "power-10s" } });
    expect(Math.max(...standings.map(({ testers }) => testers))).toBe(4);
  });

  it("accepts no more of one tester in a day than it says", async () => {
    const next = await uploadDemoRun(app, policy.slipstream, "run-15");
    await policy.setPolicy({ enabled: false, maxPerDay: 1 });
    expect(await policy.unmet(next)).toContain("few-today");
    await policy.setPolicy({ enabled: false, maxPerDay: 2 });
    expect(await policy.unmet(next)).not.toContain("few-today");
    await policy.setPolicy({ enabled: false });
  });

  it("is undone by a moderator, whereupon the run waits for one, and its tester is in good standing no more", async () => {
    const { latestDecision } = await policy.evidenceOf(run);
    const undo = (headers: Headers) => policy.ask("DELETE", `/v1/reviews/${latestDecision?.id}`, headers);
    const rival = await app.signIn("rival", "moderator");
    await uploadDemoRun(app, rival, "run-11");
    expect((await undo(rival)).statusCode).toBe(403);
    expect((await undo(policy.slipstream)).statusCode).toBe(403);
    expect((await undo(policy.mona)).statusCode).toBe(204);
    expect(await policy.reviewOf(run)).toBe("pending");
    expect(await policy.consider(run)).toBe(false);
    expect(await policy.unmet()).toEqual(["untouched", "no-blemish"]);
    expect((await undo(policy.mona)).statusCode).toBe(409);
    await policy.tamper("UPDATE audit_log SET at = at - interval '31 days' WHERE event = 'undo-to-pending'");
    expect(await policy.unmet()).toEqual(["untouched"]);
    await policy.tamper("UPDATE audit_log SET at = at + interval '31 days' WHERE event = 'undo-to-pending'");
    await policy.accept(run);
  });

  it("sends a sample to the moderators all the same, drawn by a key that no id and no log gives away", async () => {
    const { logSha256 } = await app.database.run.findUniqueOrThrow({ where: { id: run } });
    const { key } = await app.database.autoAcceptSampleKey.findFirstOrThrow();
    // HMAC of RFC 2104 by node's own library.
    const drawn = (log: Uint8Array, every: number) =>
      BigInt(`0x${createHmac("sha256", key).update(log).digest("hex").slice(0, 12)}`) % BigInt(every) === 0n;
    for (const every of [2, 3, 4, 5, 7]) {
      await policy.setPolicy({ enabled: false, sampleOneIn: every });
      expect((await policy.unmet()).includes("not-sampled")).toBe(drawn(logSha256, every));
    }
    const logs = Array.from({ length: 4000 }, (_, i) => createHash("sha256").update(`log ${i}`).digest());
    const counted = (sampleKey: Uint8Array) => logs.filter((log) => isSampled(log, sampleKey, 10));
    expect(Math.abs(counted(key).length - 400)).toBeLessThan(100);
    expect(counted(Buffer.alloc(32, 1))).not.toEqual(counted(key));
    await policy.setPolicy({ enabled: false });
  });

  it("draws a withdrawn log again when it comes back, and sends the next runs to a moderator until one was decided on", async () => {
    const draws = async (id: string) => {
      const answers: boolean[] = [];
      for (const sampleOneIn of [2, 3, 4]) {
        await policy.setPolicy({ enabled: false, sampleOneIn });
        answers.push((await policy.unmet(id)).includes("not-sampled"));
      }
      return answers;
    };
    const isLookedAt = async () => (await policy.unmet()).includes("none-withdrawn-unseen");
    const first = await uploadDemoRun(app, policy.slipstream, "run-21");
    const before = await draws(first);
    expect(await isLookedAt()).toBe(false);
    const { statusCode } = await policy.ask("DELETE", `/v1/runs/${first}`, policy.slipstream);
    expect(statusCode).toBeLessThan(300);
    expect(await isLookedAt()).toBe(true);
    const again = await uploadDemoRun(app, policy.slipstream, "run-21");
    expect(again).not.toBe(first);
    expect(await draws(again)).toEqual(before);
    expect(await isLookedAt()).toBe(true);
    await policy.setPolicy({ enabled: false });
    const decision = { decision: "accept", rules: [], note: "Looked at.", independentOf: [] };
    const { statusCode: accepted } = await policy.ask("POST", `/v1/runs/${again}/reviews`, policy.mona, decision);
    expect(accepted).toBe(201);
    expect(await isLookedAt()).toBe(false);
  });

  it("sends the next runs, and the run itself, to a moderator when a tester has moved one away that was seen, until a moderator decides", async () => {
    const isLookedAt = async (id?: string) => (await policy.unmet(id)).includes("none-withdrawn-unseen");
    const moved = await uploadDemoRun(app, policy.slipstream, "run-22");
    const head = async () => (await policy.ask("GET", `/v1/runs/${moved}`, policy.mona)).json<RunView>();
    const { pack, conformance } = await head();
    expect(conformance?.verdict).toMatch(/^conforming/);
    const { id: _, status: __, ...facts } = pack;
    const other = { ...facts, name: "Another One Altogether" };
    const registered = await policy.ask("POST", "/v1/packs", policy.slipstream, other);
    const { id: packId } = registered.json<{ id: string }>();
    expect([await isLookedAt(), await isLookedAt(moved)]).toEqual([false, false]);
    const moveTo = async (to: string, headers: Headers) => {
      const answer = await app.inject({ method: "PATCH", url: `/v1/runs/${moved}`, payload: { packId: to }, headers });
      expect(answer.statusCode).toBe(200);
      while ((await app.database.run.count({ where: { outdated: true } })) > 0) await delay(50);
    };
    await moveTo(packId, policy.slipstream);
    expect([await isLookedAt(), await isLookedAt(moved)]).toEqual([true, true]);
    await moveTo(pack.id, policy.mona);
    expect([await isLookedAt(), await isLookedAt(moved)]).toEqual([false, false]);
    await app.nest.get(CopiesService).awaitCheck(moved);
    await policy.accept(moved);
  });

  it("looks at what waits when it is switched on, by the queue", async () => {
    await policy.tamper("UPDATE audit_log SET at = at - interval '31 days' WHERE event LIKE 'undo-%'");
    await policy.tamper(`DELETE FROM review WHERE run_id = '${run}'`);
    await policy.tamper(`UPDATE run SET review_state = 'pending' WHERE id = '${run}'`);
    await policy.setPolicy({});
    while ((await policy.reviewOf(run)) === "pending") await delay(50);
    expect(await policy.reviewOf(run)).toBe("accepted");
  });

  it("has a version in the chained record for every change, with who, why and how much it asked for", async () => {
    const { version, setBy } = (await policy.ask("GET", "/v1/auto-accept-policy", policy.mona)).json<{
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
    expect(changes[0]).toMatchObject({
      event: "set",
      fromState: null,
      toState: "1/on",
      reason: { text: POLICY.reason },
    });
    expect(changes[0]?.rules).toContain("maxDeviationPercent 5");
    const { body } = await app.graphql("{ autoAcceptPolicy { version } }", { headers: policy.mona });
    expect(body.data).toEqual({ autoAcceptPolicy: { version } });
  });
});

it("leaves a chain that holds", async () => {
  // The times that were moved above are moved back.
  await policy.tamper("UPDATE audit_log SET at = at + interval '31 days' WHERE event LIKE 'undo-%'");
  expect(await verifyChain(app.database)).toMatchObject({ broken: null });
});

import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import type { PackStandingView } from "../../src/features/rankings/pack-standing.views.js";
import type { StandingView } from "../../src/features/rankings/rankings.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let testers: Headers[];
let moderator: Headers;
beforeAll(async () => {
  app = await startTestApp();
  testers = await Promise.all(["anna", "bert", "cleo"].map((handle) => app.signIn(handle)));
  moderator = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const decide = (runId: string, decision: string, headers: Headers = moderator, rules: string[] = []) =>
  app.inject({
    method: "POST",
    url: `/v1/runs/${runId}/reviews`,
    payload: { decision, rules, note: "Looked at." },
    headers,
  });

/** The standard load that all runs of these reach, and one that a lighter run does, A. */
const LOAD = 80;
const LIGHTER = 63;
const ranking = async (load = LOAD): Promise<StandingView[]> =>
  (await app.inject({ url: `/v1/rankings/power-10s?standing=all&load=${load}` })).json<{ items: StandingView[] }>()
    .items;

describe("a moderator", () => {
  it("finds waiting runs of others, accepts one, and the ranking and its GraphQL twin follow", async () => {
    const { body: run } = await uploadCase(app, testers[0] as Headers, "Alpha", "truth-4s-10hz");
    expect(await ranking()).toEqual([]);
    const queue = (await app.inject({ url: "/v1/reviews", headers: moderator })).json<{ items: { id: string }[] }>();
    expect(queue.items.map(({ id }) => id)).toEqual([run.id]);
    const decision = await decide(run.id, "accept");
    expect(decision.statusCode).toBe(201);
    expect(decision.json()).toMatchObject({ decision: "accept", review: "accepted", moderator: { handle: "mona" } });
    const [first] = await ranking();
    const translated = run.figures.find(({ key, load }) => key === "power-10s" && load === LOAD);
    expect(first).toMatchObject({ place: null, placeRange: null, testers: 1, runs: 1, established: false });
    expect(first?.value).toBeCloseTo(translated?.value ?? Number.NaN, 9);
    const { body } = await app.graphql(
      `{ ranking(figure: POWER_10S, load: ${LOAD}, standing: ALL) { edges { node { place value uncertainty testers established pack { name } } } } }`,
    );
    expect(body.data).toEqual({
      ranking: {
        edges: [
          {
            node: {
              place: null,
              value: first?.value,
              uncertainty: first?.uncertainty,
              testers: 1,
              established: false,
              pack: { name: "Alpha" },
            },
          },
        ],
      },
    });
    expect((await app.inject({ url: `/v1/runs/${run.id}` })).statusCode).toBe(200);
  });

  it("makes a standing established when three testers agree whom moderators vouch for, and a tester's repeats count once", async () => {
    for (const handle of ["anna", "bert", "cleo"]) {
      const payload = { note: "Known bench." };
      await app.inject({ method: "POST", url: `/v1/testers/${handle}/vouch`, payload, headers: moderator });
    }
    const cases = ["current-offset", "plain-20hz", "removed-at-cutoff"] as const;
    for (const [index, headers] of testers.entries()) {
      const { body } = await uploadCase(app, headers, "Beta", cases[index] as string);
      const confirmation = {
        method: "POST",
        url: `/v1/packs/${body.pack.id}/confirmation`,
        headers: moderator,
      } as const;
      await app.inject({ ...confirmation, payload: { checked: ["label"] } });
      await decide(body.id, "accept");
    }
    const beta = (await ranking()).find(({ pack }) => pack.name === "Beta");
    expect(beta).toMatchObject({ testers: 3, runs: 3, established: true });
    const { body: repeat } = await uploadCase(app, testers[0] as Headers, "Beta", "jitter-25hz");
    await decide(repeat.id, "accept");
    expect((await ranking()).find(({ pack }) => pack.name === "Beta")).toMatchObject({ testers: 3, runs: 4 });
  });

  it("sees what stands behind a standing: the interval, the cross-check, and how each tester agrees, in both APIs", async () => {
    const beta = (await ranking()).find(({ pack }) => pack.name === "Beta") as StandingView;
    const url = `/v1/rankings/power-10s/packs/${beta.pack.id}?load=${LOAD}`;
    const found = (await app.inject({ url })).json<PackStandingView>();
    expect(found).toMatchObject({
      figure: "power-10s",
      value: beta.value,
      uncertainty: beta.uncertainty,
      basis: "translated",
      load: LOAD,
    });
    expect(found.pack.name).toBe("Beta");
    expect([found.degreesOfFreedom, found.coverageFactor]).toEqual([beta.degreesOfFreedom, beta.coverageFactor]);
    expect(found.coverageFactor).toBeGreaterThanOrEqual(2);
    expect(found.consensus).toMatchObject({
      method: "huber-mandel-paule",
      dersimonianLaird: { value: expect.any(Number) },
    });
    const shares = found.agreement.testers;
    expect(shares.map(({ tester, runIds }) => [tester.handle, runIds.length]).sort()).toEqual([
      ["anna", 2],
      ["bert", 1],
      ["cleo", 1],
    ]);
    const anna = shares.find(({ tester }) => tester.handle === "anna");
    expect(found.agreement.repeatabilitySd).toBeCloseTo(anna?.sd as number, 9);
    expect(found.agreement.reproducibilitySd as number).toBeGreaterThanOrEqual(
      found.agreement.repeatabilitySd as number,
    );
    const h = shares.map((one) => one.h as number);
    expect(h.reduce((sum, one) => sum + one, 0)).toBeCloseTo(0, 9);
    const { body } = await app.graphql(
      `{ packStanding(figure: POWER_10S, packId: "${beta.pack.id}", load: ${LOAD}) {
        value coverageFactor consensus { betweenVariance dersimonianLaird { value uncertainty } }
        agreement { repeatabilitySd hCritical testers { tester { handle } runIds h k deviates } } } }`,
    );
    expect(found).toMatchObject(body.data?.packStanding as object);
  });

  it("is told when there is no such standing", async () => {
    const beta = (await ranking()).find(({ pack }) => pack.name === "Beta") as StandingView;
    const { body: lone } = await uploadCase(app, testers[0] as Headers, "Iota", "ended-early-50hz");
    const packOf = (await app.inject({ url: `/v1/runs/${lone.id}`, headers: testers[0] as Headers })).json<{
      pack: { id: string };
    }>();
    for (const url of [
      `/v1/rankings/beauty/packs/${beta.pack.id}`,
      `/v1/rankings/power-10s/packs/${packOf.pack.id}`,
      "/v1/rankings/power-10s/packs/nonsense",
    ]) {
      const answer = await app.inject({ url });
      expect([answer.statusCode, answer.json<{ type: string }>().type]).toEqual([404, "/problems/not-found"]);
    }
  });

  it("takes an accepted run out of the ranking again by rejecting it, and its tester by withdrawing it", async () => {
    const { body: run } = await uploadCase(app, testers[1] as Headers, "Gamma", "lead-declared");
    await decide(run.id, "accept");
    expect((await ranking(LIGHTER)).map(({ pack }) => pack.name)).toContain("Gamma");
    await decide(run.id, "reject", moderator, ["standard-load"]);
    expect((await ranking(LIGHTER)).map(({ pack }) => pack.name)).not.toContain("Gamma");
    await decide(run.id, "accept");
    await app.inject({ method: "DELETE", url: `/v1/runs/${run.id}`, headers: testers[1] as Headers });
    expect((await ranking(LIGHTER)).map(({ pack }) => pack.name)).not.toContain("Gamma");
  });

  it("cannot accept what does not conform, decide twice alike, name a rule that was not looked at, or decide as a tester", async () => {
    const { body: hot } = await uploadCase(app, testers[2] as Headers, "Delta", "too-hot");
    expect(hot.conformance.verdict).toBe("nonconforming");
    const refused = await decide(hot.id, "accept");
    expect([refused.statusCode, refused.json<{ type: string }>().type]).toEqual([409, "/problems/run-not-conforming"]);
    expect((await decide(hot.id, "reject", moderator, ["no-such-rule"])).statusCode).toBe(422);
    expect((await decide(hot.id, "reject", testers[0])).statusCode).toBe(403);
    expect((await decide(hot.id, "reject")).statusCode).toBe(201);
    expect((await decide(hot.id, "reject")).statusCode).toBe(409);
  });

  it("never lets the very same log count twice, for whichever tester or pack", async () => {
    const { body: first } = await uploadCase(app, testers[0] as Headers, "Eta", "lead-awg12");
    const { body: copy } = await uploadCase(app, testers[1] as Headers, "Theta", "lead-awg12");
    await app.nest.get(CopiesService).awaitCheck(copy.id);
    const undecided = await decide(copy.id, "accept");
    expect([undecided.statusCode, undecided.json<{ copies: string[] }>().copies]).toEqual([409, [first.id]]);
    expect((await decide(copy.id, "reject")).statusCode).toBe(201);
    expect((await decide(first.id, "accept")).statusCode).toBe(201);
    const refused = await decide(copy.id, "accept");
    expect([refused.statusCode, refused.json<{ existingId: string }>().existingId]).toEqual([409, first.id]);
    const forced = app.database.run.update({ where: { id: copy.id }, data: { review: "accepted" } });
    await expect(forced).rejects.toThrow(/unique constraint/i);
    await decide(first.id, "reject");
    expect((await decide(copy.id, "accept")).statusCode).toBe(201);
  });

  it("never decides on a run of their own", async () => {
    const { body: own } = await uploadCase(app, moderator, "Epsilon", "truth-4s-10hz");
    expect((await decide(own.id, "accept")).statusCode).toBe(403);
    const queue = (await app.inject({ url: "/v1/reviews", headers: moderator })).json<{ items: { id: string }[] }>();
    expect(queue.items.map(({ id }) => id)).not.toContain(own.id);
  });
});

describe("the database itself", () => {
  it("refuses that a run which does not conform is accepted, whoever asks", async () => {
    const { body: hot } = await uploadCase(app, testers[0] as Headers, "Zeta", "too-hot");
    const accept = app.database.run.update({ where: { id: hot.id }, data: { review: "accepted" } });
    await expect(accept).rejects.toThrow(/only a run that conforms is accepted/);
  });

  it("refuses that figures, findings or decisions are changed or removed", async () => {
    await expect(app.database.figure.updateMany({ data: { value: 1 } })).rejects.toThrow(/constraint violated/i);
    await expect(app.database.finding.deleteMany()).rejects.toThrow(/constraint violated/i);
    await expect(app.database.review.deleteMany()).rejects.toThrow(/constraint violated/i);
  });
});

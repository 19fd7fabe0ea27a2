import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import type { PlanView } from "./plans.views.js";

let app: TestApp;
let headers: { authorization: string };
let packId: string;
let specimenId: string;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  const post = async (url: string, payload: object) =>
    (await app.inject({ method: "POST", url, payload, headers })).json<{ id: string }>().id;
  packId = await post("/v1/packs", { ...productOf("Alpha"), labelContinuousC: 30 });
  specimenId = await post("/v1/specimens", { packId, label: "no. 1", cycles: 3 });
});
afterAll(() => app.close());

async function plan(query: string, asked: Record<string, string> = {}) {
  const answer = await app.inject({ url: `/v1/plans?${query}`, headers: asked });
  return { status: answer.statusCode, ...answer.json<PlanView & { errors: { pointer: string; message: string }[] }>() };
}
const ALPHA = "chemistry=lipo&series=4&ratedCapacityMah=5000&labelContinuousC=30";

describe("a plan of a test", () => {
  it("is the same for a registered pack and for one that is described, in both APIs", async () => {
    const { massGrams } = productOf("Alpha");
    const described = await plan(`protocol=full-load&${ALPHA}&massGrams=${massGrams}`);
    expect([described.status, described.packId, described.labelContinuousA]).toEqual([200, null, 150]);
    expect(Object.keys(described)[1]).toBe("cautions");
    const registered = await plan(`protocol=full-load&packId=${packId}`);
    expect(registered).toEqual({ ...described, packId, labelBurstA: registered.labelBurstA });
    const { body } = await app.graphql(
      `query($packId: ID) { plan(protocol: "full-load", packId: $packId) { cautions packId
        loads { currentA ohm powerW seconds } standardLoads { loadA ohm currentA ratio } stop { cutoffVolts cutOutC }
        expected { seconds highestPowerW loadHeatWh } demands { rateHz restMinutes { minimum maximum } } checklist { stage text } } }`,
      { variables: { packId } },
    );
    expect(registered).toMatchObject((inRestWords(body.data) as { plan: object }).plan);
  });

  it("reads what others measured of the pack", async () => {
    const { chemistry, series, ratedCapacityMah } = productOf("Alpha");
    // Three times what is typical of a LiPo pack: 10 mohm Ah a cell.
    const value = (3 * 10_000 * series) / ratedCapacityMah;
    await app.database.standing.create({
      data: {
        protocolKey: "full-load",
        protocolVersion: 1,
        computationVersion: 1,
        figure: "resistance-10s",
        load: 0,
        packId,
        chemistry,
        series,
        ratedCapacityMah,
        value,
        unit: "mohm",
        uncertainty: 1,
        testers: 1,
        runs: 1,
        established: false,
        basis: "own",
        sortValue: -value,
      },
    });
    const measured = await plan(`protocol=full-load&load=20&packId=${packId}`);
    // A full cell of 4.2 V behind it, by Ohm's law.
    expect(measured.expected?.highestPowerW).toBeCloseTo(20 * (series * 4.2 - (20 * value) / 1_000), 6);
  });

  it("goes on with the owner's ladder, and tells others of no specimen that they may not know", async () => {
    const query = `protocol=current-ladder&specimenId=${specimenId}`;
    const own = await plan(query, headers);
    expect([own.status, own.packId, own.nextStep]).toEqual([200, packId, { currentA: 40, reason: "first" }]);
    expect((await plan(query)).status).toBe(404);
    expect((await plan(`protocol=full-load&specimenId=${specimenId}`, headers)).errors[0]?.pointer).toBe("/specimenId");
  });

  it.each([
    ["two-pulse", "load=5", "/load"],
    ["full-load", "load=151", "/load"],
    ["full-load", "load=0", "/load"],
    ["full-load", "load=much", "/load"],
    ["nothing", "", "/protocol"],
    ["full-load", "packId=01a2122e-e1a4-753d-899e-c914096834c6", "/packId"],
  ])("refuses %s with %s", async (protocol, more, pointer) => {
    const answer = await plan(`protocol=${protocol}&${ALPHA}&${more}`);
    expect([answer.status, answer.errors[0]?.pointer]).toEqual([422, pointer]);
  });

  it.each(["", "series=4", "chemistry=lipo&series=4", "massGrams=400"])("asks which pack for '%s'", async (query) => {
    const answer = await plan(`protocol=full-load&${query}`);
    expect([answer.status, answer.errors[0]?.pointer]).toEqual([422, "/packId"]);
  });
});

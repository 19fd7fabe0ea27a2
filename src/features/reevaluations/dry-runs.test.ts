import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { TestApp } from "../../../test/support/app.js";
import { nextFullLoad } from "../../../test/support/protocols.js";
import { type ReevaluationTest, startReevaluationTest } from "../../../test/support/reevaluation-test.js";
import type { ReevaluationView } from "./reevaluations.views.js";

const NEXT = nextFullLoad(15);

let reevaluations: ReevaluationTest;
let app: TestApp;
let runs: Record<string, string>;
beforeAll(async () => {
  reevaluations = await startReevaluationTest();
  ({ app, runs } = reevaluations);
});
afterAll(() => app.close());

const ranking = () => reevaluations.ranking();
async function reevaluate(input: object): Promise<ReevaluationView> {
  const { location, ended } = await reevaluations.reevaluate(input);
  expect(location).toBe(`/v1/reevaluations/${ended.id}`);
  return ended;
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

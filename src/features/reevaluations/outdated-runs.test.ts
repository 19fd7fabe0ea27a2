import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { nextFullLoad } from "../../../test/support/protocols.js";
import { type Headers, type ReevaluationTest, startReevaluationTest } from "../../../test/support/reevaluation-test.js";
import { PreparedPacksService } from "./prepared-packs.service.js";

const NEXT = nextFullLoad(15);

let reevaluations: ReevaluationTest;
let app: TestApp;
let mona: Headers;
beforeAll(async () => {
  reevaluations = await startReevaluationTest();
  ({ app } = reevaluations);
  mona = await app.signIn("nora", "moderator");
});
afterAll(() => app.close());

/** The specific energy by which a run counts under its own load, Wh/kg, under which version, and how often it was evaluated under that. */
async function energyOf(runId: string) {
  const [found] = await app.database.$queryRaw<
    { value: number; version: number; outdated: boolean; evaluations: number }[]
  >`
    SELECT figure.value, evaluation.protocol_version AS version, run.outdated, (SELECT count(*)::int FROM evaluation AS one
      WHERE one.run_id = run.id AND one.protocol_version = evaluation.protocol_version) AS evaluations
    FROM run JOIN evaluation ON evaluation.id = run.current_evaluation_id
    JOIN figure ON figure.evaluation_id = evaluation.id AND figure.key = 'specific-energy' AND figure.basis <> 'translated'
    WHERE run.id = ${runId}::uuid`;
  if (!found) throw new Error(`run ${runId} has no specific energy`);
  return found;
}

/** The pack of a run. */
async function packOf(runId: string) {
  const { packId } = await app.database.run.findUniqueOrThrow({ where: { id: runId }, select: { packId: true } });
  return app.database.pack.findUniqueOrThrow({ where: { id: packId ?? "" } });
}

async function ask(method: "POST" | "PATCH" | "DELETE", url: string, payload: object, headers = mona) {
  const answer = await app.inject({ method, url, headers, ...(method === "DELETE" ? {} : { payload }) });
  if (answer.statusCode >= 300) throw new Error(`${method} ${url}: ${answer.body}`);
  return answer.body === "" ? { id: "" } : answer.json<{ id: string }>();
}

/** Registers another product that is as the pack of a run but for its mass, which is twice as large. */
async function registerHeavier(runId: string, name: string): Promise<string> {
  const { chemistry, series, parallel, ratedCapacityMah, labelContinuousC, labelBurstC, massGrams } =
    await packOf(runId);
  const facts = { chemistry, series, parallel, ratedCapacityMah, labelContinuousC, labelBurstC };
  const product = productOf(name, { ...facts, massGrams: 2 * (massGrams ?? Number.NaN) });
  const { id: packId } = await ask("POST", "/v1/packs", product, reevaluations.anna);
  return packId;
}

/** Has something changed once all runs are evaluated and all standings prepared, just before a re-evaluation would end. */
function beforeTheEnd(change: () => Promise<unknown>): void {
  const service = app.nest.get(PreparedPacksService);
  const prepare = service.prepare.bind(service);
  service.prepare = async (...of) => {
    service.prepare = prepare;
    const ready = await prepare(...of);
    await change();
    return ready;
  };
}

let heavier: string;
const run = (name: string) => reevaluations.runs[name] ?? "";
const CHANGES: readonly [what: string, run: string, factor: number, change: () => Promise<unknown>][] = [
  [
    "a pack that is corrected",
    "Alpha",
    0.5,
    async () => {
      const { id, massGrams } = await packOf(run("Alpha"));
      await ask("PATCH", `/v1/packs/${id}`, { massGrams: 2 * (massGrams ?? Number.NaN) });
    },
  ],
  [
    "a pack that is merged into another",
    "Beta",
    0.5,
    async () => {
      const { id } = await packOf(run("Beta"));
      heavier = id;
      const into = await registerHeavier(run("Beta"), "Wharf");
      await ask("POST", `/v1/packs/${id}/merge`, { into });
    },
  ],
  ["a pack whose merge is undone", "Beta", 2, () => ask("DELETE", `/v1/packs/${heavier}/merge`, {})],
  [
    "a run that is moved to another pack",
    "Gamma",
    0.5,
    async () => {
      const packId = await registerHeavier(run("Gamma"), "Slipway");
      const specimen = { packId, label: "Blue tape", cycles: 3 };
      const { id: specimenId } = await ask("POST", "/v1/specimens", specimen, reevaluations.anna);
      await ask("PATCH", `/v1/runs/${run("Gamma")}`, { specimenId });
    },
  ],
];

it("a dry run reports what would come of a pack that is corrected while it works", async () => {
  const { id, massGrams } = await packOf(run("Alpha"));
  const { value: before } = await energyOf(run("Alpha"));
  let tried: { value: number }[] = [];
  beforeTheEnd(async () => {
    await ask("PATCH", `/v1/packs/${id}`, { massGrams: 2 * (massGrams ?? Number.NaN) });
    // What its report is made of, which is not kept after it.
    beforeTheEnd(async () => {
      tried = await app.database.$queryRaw<{ value: number }[]>`
        SELECT (figure ->> 'value')::float8 AS value FROM reevaluation_run JOIN reevaluation ON reevaluation.id = reevaluation_id,
          jsonb_path_query(result, '$.figures[*] ? (@.key == "specific-energy" && @.basis != "translated")') AS figure
        WHERE reevaluation.state = 'evaluating' AND run_id = ${run("Alpha")}::uuid`;
    });
  });
  const { ended } = await reevaluations.reevaluate({ dryRun: true, document: NEXT });
  expect(ended).toMatchObject({ state: "finished", total: 3, done: 3, failed: 0 });
  expect(tried.map(({ value }) => value / before)).toEqual([expect.closeTo(0.5, 9)]);
});

// Specific energy is energy by mass: of twice the mass it is half.
it.each(CHANGES)("%s after its run was evaluated counts as it is once the version switches", async (...of) => {
  const [what, name, factor, change] = of;
  const version = NEXT.version + CHANGES.findIndex(([one]) => one === what);
  await reevaluations.post("/v1/protocols/full-load/versions", { ...NEXT, version });
  const before = await energyOf(run(name));
  beforeTheEnd(change);
  const { ended } = await reevaluations.reevaluate({ protocolVersion: version });
  expect(ended).toMatchObject({ state: "finished", total: 3, done: 3, failed: 0 });
  const after = await energyOf(run(name));
  // Once with what was registered before, once with what is now.
  expect(after).toMatchObject({ version, outdated: false, evaluations: 2 });
  expect(after.value).toBeCloseTo(factor * before.value, 9);
});

import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { TestApp } from "../../../test/support/app.js";
import { nextFullLoad } from "../../../test/support/protocols.js";
import { type ReevaluationTest, startReevaluationTest } from "../../../test/support/reevaluation-test.js";
import { PreparedPacksService } from "./prepared-packs.service.js";

const NEXT = nextFullLoad(15);

let reevaluations: ReevaluationTest;
let app: TestApp;
beforeAll(async () => {
  reevaluations = await startReevaluationTest();
  ({ app } = reevaluations);
  expect((await reevaluations.post("/v1/protocols/full-load/versions", NEXT)).statusCode).toBe(201);
});
afterAll(() => app.close());

/** The specific energy by which a run counts, Wh/kg, and under which version. */
async function energyOf(runId: string) {
  const [found] = await app.database.$queryRaw<{ value: number; version: number; outdated: boolean }[]>`
    SELECT figure.value, evaluation.protocol_version AS version, run.outdated FROM run
    JOIN evaluation ON evaluation.id = run.current_evaluation_id
    JOIN figure ON figure.evaluation_id = evaluation.id AND figure.key = 'specific-energy'
    WHERE run.id = ${runId}::uuid`;
  return found;
}

it("a pack that is corrected after its run was evaluated counts as corrected once the version switches", async () => {
  const runId = reevaluations.runs.Alpha ?? "";
  const before = await energyOf(runId);
  const { packId } = await app.database.run.findUniqueOrThrow({ where: { id: runId }, select: { packId: true } });
  const pack = await app.database.pack.findUniqueOrThrow({ where: { id: packId ?? "" } });
  const mona = await app.signIn("mona", "moderator");
  const service = app.nest.get(PreparedPacksService);
  const prepare = service.prepare.bind(service);
  service.prepare = async (...of) => {
    service.prepare = prepare;
    const ready = await prepare(...of);
    const payload = { massGrams: 2 * (pack.massGrams ?? Number.NaN) };
    const corrected = await app.inject({ method: "PATCH", url: `/v1/packs/${pack.id}`, headers: mona, payload });
    expect(corrected.statusCode).toBe(200);
    return ready;
  };
  const { ended } = await reevaluations.reevaluate({ protocolVersion: NEXT.version });
  expect(ended).toMatchObject({ state: "finished", total: 3, done: 3, failed: 0 });
  const after = await energyOf(runId);
  // Specific energy is energy by mass: of twice the mass it is half.
  expect(after).toMatchObject({ version: NEXT.version, outdated: false });
  expect(after?.value).toBeCloseTo((before?.value ?? Number.NaN) / 2, 9);
});

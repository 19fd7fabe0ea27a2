import { expect, it } from "@jest/globals";
import { figureOf, loadsOf } from "../../../test/support/evaluated.js";
import { logCase } from "../../../test/support/uploads.js";
import { evaluate, type RunFacts } from "../evaluate.js";
import { FULL_LOAD_1 } from "../protocol/documents/full-load-1.js";
import { STANDARD_LOADS_A } from "../translation/standard-loads.js";
import { traceUnderLoad } from "./trace-under-load.js";

const { log, pack, bench, conditions } = logCase("truth-4s-10hz");
const facts = { pack, bench, conditions } as unknown as RunFacts;
const { evaluation, trace: logged } = await evaluate([log], facts, FULL_LOAD_1);
const under = (load: number) => traceUnderLoad(logged, facts.pack, FULL_LOAD_1, load);

it("is that of the figures under each standard load to which the run was translated", () => {
  const loads = loadsOf(evaluation);
  expect(loads.length).toBeGreaterThan(2);
  for (const load of loads) {
    const trace = under(load);
    const at = trace?.time.findIndex((t) => t >= 10) ?? -1;
    const watts = (trace?.voltage[at] ?? Number.NaN) * (trace?.current[at] ?? Number.NaN);
    // Of a window about 10 s, and of one sample of it.
    expect(watts / figureOf(evaluation, "power-10s", load).value).toBeCloseTo(1, 2);
  }
});

it("is none beyond these, nor under a load that is no standard one", () => {
  const loads = loadsOf(evaluation);
  const beyond = STANDARD_LOADS_A.filter((load) => !loads.includes(load));
  expect(beyond.length).toBeGreaterThan(40);
  for (const load of [...beyond, 0, (loads[0] as number) + 0.5]) expect([load, under(load)]).toEqual([load, null]);
});

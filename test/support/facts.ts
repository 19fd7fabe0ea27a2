import type { RunFacts } from "../../src/core/evaluate.js";
import type { BenchFacts, PackFacts, RunConditions } from "../../src/core/model.js";

/** 4 cells of 5000 mAh and 500 g. */
export const PACK: PackFacts = {
  chemistry: "lipo",
  series: 4,
  parallel: 1,
  ratedCapacityMah: 5000,
  labelContinuousC: 60,
  labelBurstC: 120,
  massGrams: 500,
};

/** A bench that errs as little as a good one. */
export const BENCH: BenchFacts = {
  load: { kind: "throttle" },
  voltage: { percent: 0.1, offset: 0.005 },
  current: { percent: 0.5, offset: 0.1 },
  temperature: { offset: 1 },
  sense: { point: "pack" },
};

export const CONDITIONS: RunConditions = { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: null };

export const FACTS: RunFacts = { pack: PACK, bench: BENCH, conditions: CONDITIONS };

/** A pack as a product that a tester registers. */
export const productOf = <Pack extends object = PackFacts>(name: string, pack?: Pack) => ({
  ...(pack ?? PACK),
  maker: "Halden Cells",
  name,
});

import { describe, expect, test } from "@jest/globals";
import { type Discharge, simulateDischarge } from "../../../seed/simulator/discharge.js";
import { createPackModel } from "../../../seed/simulator/pack-model.js";
import { createRandom } from "../../../seed/simulator/random.js";
import type { Estimate } from "../statistics/estimate.js";
import { limitCurrent, type WarmedStep } from "./limit-current.js";

const LIMIT_C = 60;
const CUTOFF_VOLTS = 13.2;
/** Halvings of 10 A: to 10 mA, some 0.02 % of a limit. */
const BISECTIONS = 10;

interface Case {
  readonly resistanceMilliohmAh: number;
  readonly ambientC: number;
  readonly massGrams: number;
}

const discharge = ({ resistanceMilliohmAh, ambientC, massGrams }: Case, level: number): Discharge =>
  simulateDischarge({
    pack: createPackModel({ chemistry: "lipo", series: 4, trueCapacityAh: 5, resistanceMilliohmAh, massGrams }),
    demand: { kind: "constant-current", level, riseSeconds: 0 },
    ambientC,
    startC: ambientC,
    chargeMissingC: 0,
    restSeconds: 0,
    stop: { volts: CUTOFF_VOLTS, delaySeconds: 0, latestSeconds: 3600 },
    afterSeconds: 0,
    stepSeconds: 0.25,
  });

/** The step as a bench would log it that stops at the limit. */
function stepAt(
  pack: Case,
  currentA: number,
  moved: { kelvin: number; share: number; noise: () => number },
): WarmedStep {
  const run = discharge(pack, currentA);
  const read = run.temperature.map((celsius) => celsius + moved.kelvin + 0.1 * moved.noise());
  const reached = run.temperature.findIndex((celsius) => celsius + moved.kelvin >= LIMIT_C);
  const end = reached < 0 ? run.time.length - 1 : reached;
  return {
    time: run.time.slice(0, end + 1),
    temperature: read.slice(0, end + 1),
    currentA: currentA * (1 + moved.share),
    startC: pack.ambientC + moved.kelvin,
    ambientC: pack.ambientC,
    capacityMah: (currentA * (1 + moved.share) * (run.time[end] as number)) / 3.6,
    passes: reached < 0,
  };
}

/** The current at which the noise-free pack meets the limit and the cutoff at once, by bisection of the simulator. */
function trueLimit(pack: Case): number {
  const isHot = (amps: number) => (discharge(pack, amps).temperature.at(-1) as number) >= LIMIT_C;
  let high = 20;
  // From below: far above it the voltage sags to the cutoff before the pack is warm.
  while (!isHot(high)) high += 10;
  let low = high - 10;
  for (let round = 0; round < BISECTIONS; round++) {
    const middle = (low + high) / 2;
    if (isHot(middle)) high = middle;
    else low = middle;
  }
  return low;
}

interface Drawn {
  readonly truth: number;
  readonly found: Estimate | null;
}

/** Ladders of random packs: five steps around the true limit, 5 to 20 % apart, on benches of the given errors. */
function ladders(count: number, seed: number, errors: { kelvin: number; share: number }): Drawn[] {
  const random = createRandom(seed);
  return Array.from({ length: count }, () => {
    const pack: Case = {
      resistanceMilliohmAh: random.between(7, 14),
      ambientC: random.between(18, 30),
      massGrams: random.between(480, 600),
    };
    const truth = trueLimit(pack);
    const width = random.between(0.05, 0.2);
    const low = truth * (1 - width * random.between(0.1, 0.9));
    const bench = {
      kelvin: errors.kelvin * random.gaussian(),
      share: errors.share * random.gaussian(),
      noise: () => random.gaussian(),
    };
    const steps = [1 - 2 * width, 1 - width, 1, 1 + width, 1 + 2 * width].map((share) =>
      stepAt(pack, low * share, bench),
    );
    const shared = { temperatureK: errors.kelvin, ambientK: 0, currentShare: errors.share };
    return { truth, found: limitCurrent(steps, LIMIT_C, shared) };
  });
}

/** Share of the estimates within `factor` standard uncertainties of the truth. */
const coveredBy = (factor: number, drawn: readonly Drawn[]): number =>
  drawn.filter(({ truth, found }) => found && Math.abs(found.value - truth) <= factor * found.uncertainty).length /
  drawn.length;

describe("the current at which limit and cutoff coincide", () => {
  test("is found on an exact bench within 3 %, the median within 0.7 %, and U covers it", () => {
    const drawn = ladders(30, 11, { kelvin: 0, share: 0 }).filter(({ found }) => found !== null);
    expect(drawn.length).toBeGreaterThanOrEqual(27);
    const errors = drawn
      .map(({ truth, found }) => Math.abs((found as Estimate).value / truth - 1))
      .sort((a, b) => a - b);
    expect(errors.at(-1)).toBeLessThan(0.03);
    expect(errors[errors.length >> 1]).toBeLessThan(0.007);
    expect(coveredBy(2, drawn)).toBeGreaterThanOrEqual(0.9);
  });

  test("lies within U of the truth for at least nine of ten ladders on benches with errors of their own", () => {
    const drawn = ladders(60, 12, { kelvin: 2 / Math.sqrt(3), share: 0.005 }).filter(({ found }) => found !== null);
    expect(drawn.length).toBeGreaterThan(50);
    expect(coveredBy(2, drawn)).toBeGreaterThanOrEqual(0.9);
    // And U is no more careful than it needs to be.
    expect(coveredBy(1, drawn)).toBeLessThan(0.9);
  });

  test("is none when no step passes, or none fails", () => {
    const exact = { kelvin: 0, share: 0, noise: () => 0 };
    const pack = { resistanceMilliohmAh: 10, ambientC: 20, massGrams: 540 };
    const truth = trueLimit(pack);
    const shared = { temperatureK: 1, ambientK: 0, currentShare: 0 };
    const at = (...shares: number[]) =>
      limitCurrent(
        shares.map((share) => stepAt(pack, share * truth, exact)),
        LIMIT_C,
        shared,
      );
    expect(at(0.8, 0.9)).toBeNull();
    expect(at(1.1, 1.2)).toBeNull();
    expect(at(0.9, 1.1)?.value).toBeCloseTo(truth, -1);
  });
});

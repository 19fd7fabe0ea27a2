import { exp, log } from "../../numerics/library.js";
import { square } from "../../numerics/square.js";
import { factorise, solve } from "../../translation/normal-equations.js";
import type { PackRun, PooledPack } from "./pack-run.js";
import { type CellHeat, heatOf, warm } from "./run-heat.js";
import type { Prior } from "./unknowns.js";

/** A run's own heat and what its probe read, as the balance is fitted to them. */
export interface HeatedRun {
  readonly run: PackRun;
  readonly watts: Float64Array;
  readonly startC: number;
  readonly ambientC: number;
}

export interface FittedHeat {
  readonly heat: CellHeat;
  /** Logarithms of heat capacity, of the time from core to skin and of that from skin to air. */
  readonly unknowns: readonly number[];
  /** Standard uncertainty of each. */
  readonly deviations: readonly number[];
}

const POINTS = 20;
/** Of one point, K; points of a run err together. */
const DEVIATION_K = 0.5 * Math.sqrt(POINTS / 5);
const ROUNDS = 3;
const STEP = 1e-4;
/** J/(kg K), and J/K for each Ah of a cell whose mass nobody said (common practice). */
const JOULE_PER_KG_KELVIN = 1000;
const JOULE_PER_AH_KELVIN = 24;
const SKIN_SECONDS = 15;
const AIR_SECONDS = 950;

export function heatPriors({ massGrams, series, ratedCapacityMah }: PooledPack): readonly Prior[] {
  const joule =
    massGrams === null
      ? (JOULE_PER_AH_KELVIN * ratedCapacityMah) / 1000
      : (JOULE_PER_KG_KELVIN * massGrams) / 1000 / series;
  return [
    { mean: log(joule), deviation: massGrams === null ? 0.5 : 0.25 },
    { mean: log(SKIN_SECONDS), deviation: 0.8 },
    { mean: log(AIR_SECONDS), deviation: 0.7 },
  ];
}

export const heatFrom = ([joule, skin, air]: readonly number[]): CellHeat =>
  heatOf(exp(joule as number), exp(skin as number), exp(air as number));

/** Fits the heat balance to what the probes of several runs read; its priors alone where none has a probe. */
export function fitHeat(pack: PooledPack, runs: readonly HeatedRun[], from?: readonly number[]): FittedHeat {
  const priors = heatPriors(pack);
  let unknowns = from ?? priors.map(({ mean }) => mean);
  const size = priors.length;
  const normal = new Float64Array(size * size);
  const probed = runs
    .filter(({ run }) => run.grid.temperature !== null)
    .map((heated) => ({ heated, places: stretches(heated) }));
  for (let round = 0; round < ROUNDS; round++) {
    const right = Float64Array.from(
      priors,
      ({ mean, deviation }, i) => (mean - (unknowns[i] as number)) / square(deviation),
    );
    normal.fill(0);
    priors.forEach(({ deviation }, i) => {
      normal[i * size + i] = 1 / square(deviation);
    });
    for (const { heated, places } of probed) {
      const read = probeAt(heated, places);
      const now = predictedAt(heated, places, unknowns);
      const slopes = priors.map((_, i) => {
        const perturbed = predictedAt(
          heated,
          places,
          unknowns.map((value, j) => (i === j ? value + STEP : value)),
        );
        return perturbed.map((value, k) => (value - (now[k] as number)) / STEP);
      });
      read.forEach((value, k) => {
        const off = (value - (now[k] as number)) / square(DEVIATION_K);
        for (let i = 0; i < size; i++) {
          const slope = slopes[i]?.[k] as number;
          right[i] = (right[i] as number) + slope * off;
          for (let j = 0; j <= i; j++) {
            normal[i * size + j] =
              (normal[i * size + j] as number) + (slope * (slopes[j]?.[k] as number)) / square(DEVIATION_K);
          }
        }
      });
    }
    if (!factorise(normal, size)) throw new Error("the heat balance of a pack has no minimum");
    solve(normal, right, size);
    // A step of more than a factor e is beyond what a linearisation tells.
    unknowns = unknowns.map((value, i) => value + Math.min(1, Math.max(-1, right[i] as number)));
  }
  const deviations = priors.map((_, i) => {
    const unit = Float64Array.from(priors, (_, j) => (i === j ? 1 : 0));
    solve(normal, unit, size);
    return Math.sqrt(unit[i] as number);
  });
  return { heat: heatFrom(unknowns), unknowns, deviations };
}

/** Stretches of a run that are compared: even in time from onset on. */
function stretches({ run }: HeatedRun): number[] {
  const { seconds, startS } = run.grid;
  const count = seconds.length;
  const first = startS < 0 ? Math.min(count - 1, Math.round(-startS / (seconds[0] as number))) : 0;
  const total = seconds.subarray(first).reduce((sum, one) => sum + one, 0);
  const found: number[] = [];
  let passed = 0;
  for (let i = first; i < count; i++) {
    passed += seconds[i] as number;
    if (passed >= ((found.length + 1) * total) / POINTS - 1e-9) found.push(i);
  }
  return found;
}

const probeAt = ({ run }: HeatedRun, places: readonly number[]): number[] => {
  const temperature = run.grid.temperature as Float64Array;
  return places.map((i) => temperature[i] as number);
};

const predictedAt = (
  { run, watts, startC, ambientC }: HeatedRun,
  places: readonly number[],
  unknowns: readonly number[],
): number[] => {
  const { skinC } = warm(heatFrom(unknowns), run.grid.seconds, watts, startC, ambientC);
  return places.map((i) => skinC[i] as number);
};

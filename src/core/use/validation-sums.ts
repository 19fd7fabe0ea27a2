import { square } from "../numerics/square.js";
import type { ValidatedRun } from "./validate.js";

/** What the runs of one pack, or of many, add up to, each run as its pack's other runs predict it. */
export interface ValidationSums {
  readonly runs: number;
  /** Of the root mean square errors of voltages, %^2. */
  readonly voltageSquares: number;
  /** Of the shares of instants within two standard uncertainties. */
  readonly voltageCovered: number;
  /** Runs whose time to the cutoff the others tell. */
  readonly timed: number;
  /** Of predicted less measured times, %, and of their squares, %^2. */
  readonly timeErrors: number;
  readonly timeSquares: number;
  /** How many of them lie within two standard uncertainties. */
  readonly timesCovered: number;
  /** Runs with a probe. */
  readonly probed: number;
  /** Of predicted less measured temperatures, K, and of their squares, K^2. */
  readonly temperatureErrors: number;
  readonly temperatureSquares: number;
  readonly temperaturesCovered: number;
}

/** How far off predictions of some runs are; null where none of them tells. */
export interface PooledErrors {
  readonly runs: number;
  readonly voltagePercentRms: number | null;
  readonly voltageCoverage: number | null;
  readonly timedRuns: number;
  readonly timePercentMean: number | null;
  readonly timePercentRms: number | null;
  readonly timeCoverage: number | null;
  readonly probedRuns: number;
  readonly temperatureMean: number | null;
  readonly temperatureRms: number | null;
  readonly temperatureCoverage: number | null;
}

const KEYS = [
  ...(["runs", "voltageSquares", "voltageCovered", "timed", "timeErrors", "timeSquares", "timesCovered"] as const),
  ...(["probed", "temperatureErrors", "temperatureSquares", "temperaturesCovered"] as const),
];
const COVERAGE = 2;

/** Adds up the runs of one pack. */
export function validationSums(runs: readonly ValidatedRun[]): ValidationSums {
  const timed = runs.flatMap(({ timePercent, timeUncertaintyPercent }) =>
    timePercent === null ? [] : [{ error: timePercent, uncertainty: timeUncertaintyPercent as number }],
  );
  const probed = runs.flatMap(({ temperatureK, temperatureUncertainty }) =>
    temperatureK === null ? [] : [{ error: temperatureK, uncertainty: temperatureUncertainty as number }],
  );
  return {
    runs: runs.length,
    voltageSquares: sum(runs.map(({ voltagePercentRms }) => square(voltagePercentRms))),
    voltageCovered: sum(runs.map(({ voltageCoverage }) => voltageCoverage)),
    timed: timed.length,
    timeErrors: sum(timed.map(({ error }) => error)),
    timeSquares: sum(timed.map(({ error }) => square(error))),
    timesCovered: covered(timed),
    probed: probed.length,
    temperatureErrors: sum(probed.map(({ error }) => error)),
    temperatureSquares: sum(probed.map(({ error }) => square(error))),
    temperaturesCovered: covered(probed),
  };
}

/** Adds up the sums of several packs or classes. */
export const addedSums = (all: readonly ValidationSums[]): ValidationSums =>
  Object.fromEntries(KEYS.map((key) => [key, sum(all.map((one) => one[key]))])) as unknown as ValidationSums;

/** Means over the runs, each of which counts alike. */
export function pooledErrors(sums: ValidationSums): PooledErrors {
  const { runs, timed, probed } = sums;
  const mean = (total: number, count: number) => (count === 0 ? null : total / count);
  const rms = (squares: number, count: number) => (count === 0 ? null : Math.sqrt(squares / count));
  return {
    runs,
    voltagePercentRms: rms(sums.voltageSquares, runs),
    voltageCoverage: mean(sums.voltageCovered, runs),
    timedRuns: timed,
    timePercentMean: mean(sums.timeErrors, timed),
    timePercentRms: rms(sums.timeSquares, timed),
    timeCoverage: mean(sums.timesCovered, timed),
    probedRuns: probed,
    temperatureMean: mean(sums.temperatureErrors, probed),
    temperatureRms: rms(sums.temperatureSquares, probed),
    temperatureCoverage: mean(sums.temperaturesCovered, probed),
  };
}

const sum = (values: readonly number[]): number => values.reduce((total, one) => total + one, 0);

const covered = (errors: readonly { readonly error: number; readonly uncertainty: number }[]): number =>
  errors.filter(({ error, uncertainty }) => Math.abs(error) <= COVERAGE * uncertainty).length;

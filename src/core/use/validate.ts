import { square } from "../numerics/square.js";
import { DEMAND_CURRENT, type Demand } from "./demand.js";
import { buildModel } from "./model/build-model.js";
import { cellOf } from "./model/cell.js";
import { gradeOf, type Missing, missingOf } from "./model/grade.js";
import type { PackModel, ValidationSummary } from "./model/pack-model.js";
import type { PackRun, PooledPack } from "./model/pack-run.js";
import { beyondRuns, cellsOffTheFit, type Passes, scaleUncertainty, worseCells } from "./perturbed-passes.js";
import { type Pass, simulateUse } from "./simulate-use.js";
import { MAX_CHARGE, type Validity, validityOf } from "./validity.js";
import { modelErrorOf, temperatureUncertainty, voltageUncertainty } from "./verdict.js";

/** One run as the pack's other runs predict it. */
export interface ValidatedRun {
  readonly runId: string;
  /** From the start of the load to 95 % of it. */
  readonly voltagePercentRms: number;
  /** Predicted minus measured time to the cutoff, and its standard uncertainty, %. null where the run did not reach its cutoff, or where the other runs predict no time or only a lower bound that the run exceeds. */
  readonly timePercent: number | null;
  readonly timeUncertaintyPercent: number | null;
  /** Predicted minus measured temperature at 95 % of the load, or where the prediction ends before, K; null without a probe. */
  readonly temperatureK: number | null;
  /** Standard uncertainty of that prediction, K. */
  readonly temperatureUncertainty: number | null;
  /** Share of instants whose voltage lies within two standard uncertainties. */
  readonly voltageCoverage: number;
}

export interface Validation {
  readonly runs: readonly ValidatedRun[];
  /** null without two runs that can be held against the others. */
  readonly summary: ValidationSummary | null;
}

/** A pack's model with how its runs agree; null model: `missing` says what is lacking. */
export interface PackFit {
  readonly model: PackModel | null;
  readonly missing: readonly Missing[];
  readonly validation: Validation;
}

const HELD_TO = 0.95;
const KAPPA_PRIOR = 4;
const BELOW_V = 0.4;
const NO_VALIDATION: Validation = { runs: [], summary: null };

/**
 * Fits a pack's model to its runs, and each run is predicted from the others. Deterministic: the same runs in any order give the same.
 *
 * @param known how the pack's runs agree, where that was found already; null to find it, by a fit for each run
 */
export function fitAndValidate(
  pack: PooledPack,
  unordered: readonly PackRun[],
  known: Validation | null = null,
): PackFit {
  const runs = unordered.toSorted((a, b) => (a.id < b.id ? -1 : 1));
  const missing = missingOf(runs);
  if (missing.length > 0) return { model: null, missing, validation: NO_VALIDATION };
  const validation = known ?? validate(pack, runs);
  const model = buildModel(pack, runs, gradeOf(runs, validation.summary));
  if (model) return { model: { ...model, validation: validation.summary }, missing, validation };
  const message = "runs that one model can describe: these contradict each other";
  return { model: null, missing: [{ reason: "fit", message }], validation };
}

/** Predicts each run to its cutoff from a full pack by its own current from the other runs, where these suffice for a model. */
function validate(pack: PooledPack, runs: readonly PackRun[]): Validation {
  const held: ValidatedRun[] = [];
  for (const run of runs) {
    if (run.drawnBefore !== null) continue;
    const others = runs.filter((one) => one !== run);
    if (!canFit(others)) continue;
    const model = buildModel(pack, others, "provisional");
    if (model)
      held.push(
        heldAgainst(
          model,
          run,
          others.some(({ specimenId }) => specimenId === run.specimenId),
        ),
      );
  }
  return { runs: held, summary: held.length < 2 ? null : summaryOf(held) };
}

/** Two runs or more to the cutoff at different loads: enough to be told apart, if not to answer anybody. */
function canFit(runs: readonly PackRun[]): boolean {
  const ended = runs.filter(({ reachedCutoff, drawnBefore }) => reachedCutoff && drawnBefore === null);
  return ended.length >= 2 && runs.some(({ grid }) => grid.restVolts !== null);
}

function heldAgainst(model: PackModel, run: PackRun, isKnownSpecimen: boolean): ValidatedRun {
  const { grid } = run;
  const own = isKnownSpecimen ? model.specimens.find(({ specimenId }) => specimenId === run.specimenId) : undefined;
  const whose = own ? ({ kind: "specimen", ...own } as const) : ({ kind: "unknown-specimen" } as const);
  const cell = cellOf(model, own?.capacity, own?.resistance);
  const first = grid.full > 0 ? firstLoaded(run) : 0;
  const startC = grid.temperature?.[Math.max(0, first - 1)] ?? run.ambientC ?? 23;
  const demand = demandFrom(run, first);
  const lastVolts = grid.voltage[grid.loaded - 1] as number;
  const limits = {
    startC,
    ambientC: run.ambientC ?? startC,
    endVolts: lastVolts - BELOW_V,
    endShare: Number.POSITIVE_INFINITY,
  };
  const pass = simulateUse(cell, demand, limits);
  // A prediction does not look past the charge that was measured, and neither does its uncertainty.
  const measured = { ...limits, endShare: MAX_CHARGE * model.range.chargeShare };
  const scales = scaleUncertainty(model, whose);
  const cells = [...worseCells(cell, scales), ...cellsOffTheFit(model, cell)];
  const passes: Passes = {
    expected: pass,
    perturbed: cells.map((one) => simulateUse(one, demand, measured)),
    capacityUncertainty: scales.capacity,
    beyond: beyondRuns(model, pass, demand, lastVolts),
  };
  const { perturbed } = passes;
  const count = grid.loaded - first;
  const till = Math.floor(HELD_TO * count);
  let [squares, within] = [0, 0];
  for (let i = 0; i < till; i++) {
    const measured = grid.voltage[first + i] as number;
    const volts = i < pass.size ? (pass.voltage[i] as number) : lastVolts - BELOW_V;
    const off = volts / measured - 1;
    squares += square(off);
    if (Math.abs(volts - measured) <= 2 * voltageUncertainty(passes, Math.min(i, pass.size - 1))) within++;
  }
  const level = lastVolts;
  const end = crossing(pass, demand, level);
  // The last voltage is a mean over the last stretch: it was met in the middle of that.
  const duration = sumTo(demand.seconds, count) - (demand.seconds[count - 1] as number) / 2;
  const ends = perturbed.map((one) => crossing(one, demand, level));
  const uncertainty = Math.sqrt(
    ends.reduce((sum, one) => sum + square((one - end) / duration), square(modelErrorOf("time", passes))),
  );
  const asked = { startC, cycles: run.cycles, cutoffVoltsPerCell: level, reserve: 0 };
  const told = run.reachedCutoff ? toldEnd(validityOf(model, pass, demand, asked), demand, { end, duration }) : null;
  const isTimed = told !== null;
  return {
    runId: run.id,
    voltagePercentRms: 100 * Math.sqrt(squares / till),
    timePercent: isTimed ? 100 * (told / duration - 1) : null,
    timeUncertaintyPercent: isTimed ? 100 * uncertainty : null,
    ...temperatureOff(passes, run, first, Math.min(till, pass.size) - 1),
    voltageCoverage: within / till,
  };
}

/** How far the skin's temperature lies off at a stretch that was followed, K; nothing without a probe. */
function temperatureOff(passes: Passes, { grid }: PackRun, first: number, i: number) {
  if (grid.temperature === null || i < 0) return { temperatureK: null, temperatureUncertainty: null };
  const measured = grid.temperature[first + i] as number;
  return {
    temperatureK: (passes.expected.temperature[i] as number) - measured,
    temperatureUncertainty: temperatureUncertainty(passes, i),
  };
}

/**
 * When a prediction would say that a run ends, s. Past what was measured it says a lower bound, which contradicts only a run that ends before it;
 * null where it says nothing that the run contradicts, or nothing at all.
 */
function toldEnd({ size, needed }: Validity, demand: Demand, { end, duration }: { end: number; duration: number }) {
  if (needed.length === 0) return end;
  if (size === 0) return null;
  const bound = sumTo(demand.seconds, size);
  if (end <= bound) return end;
  return duration < bound ? bound : null;
}

const firstLoaded = ({ grid }: PackRun): number => {
  let [time, i] = [grid.startS, 0];
  while (i < grid.seconds.length && time < -1e-9) time += grid.seconds[i++] as number;
  return i;
};

/** The run's own current as a demand, carried on at its mean past its end. */
function demandFrom({ grid }: PackRun, first: number): Demand {
  const own = grid.seconds.subarray(first, grid.loaded);
  const on = Math.ceil(own.length / 4);
  const step = own[own.length - 1] as number;
  const tail = grid.current.subarray(Math.max(first, grid.loaded - 20), grid.loaded);
  const mean = tail.reduce((sum, amps) => sum + amps, 0) / tail.length;
  const size = own.length + on;
  const seconds = new Float64Array(size).fill(step);
  seconds.set(own);
  const value = new Float64Array(size).fill(mean);
  value.set(grid.current.subarray(first, grid.loaded));
  return {
    seconds,
    kind: new Uint8Array(size).fill(DEMAND_CURRENT),
    value,
    first: new Uint8Array(size),
    durationS: sumTo(own, own.length),
  };
}

const sumTo = (values: Float64Array, count: number): number =>
  values.subarray(0, count).reduce((sum, one) => sum + one, 0);

/** When a pass falls to a voltage for good, s; its end where it does not. */
function crossing({ voltage, size }: Pass, { seconds }: Demand, level: number): number {
  let [time, found] = [0, Number.NaN];
  for (let i = 0; i < size; i++) {
    const h = seconds[i] as number;
    if ((voltage[i] as number) > level) found = Number.NaN;
    else if (Number.isNaN(found)) {
      const before = i > 0 ? (voltage[i - 1] as number) : level;
      const fall = before - (voltage[i] as number);
      found = time + h / 2 - (fall > 0 ? (h * (level - (voltage[i] as number))) / fall : 0);
    }
    time += h;
  }
  return Number.isNaN(found) ? time : found;
}

function summaryOf(runs: readonly ValidatedRun[]): ValidationSummary {
  const rms = (values: readonly number[]) =>
    values.length === 0 ? null : Math.sqrt(values.reduce((sum, value) => sum + square(value), 0) / values.length);
  const timed = runs.filter((run) => run.timePercent !== null);
  const squares = timed.reduce(
    (sum, run) => sum + square((run.timePercent as number) / (run.timeUncertaintyPercent as number)),
    0,
  );
  return {
    runs: runs.length,
    voltagePercentRms: rms(runs.map((run) => run.voltagePercentRms)) as number,
    timePercentRms: rms(timed.map((run) => run.timePercent as number)),
    temperatureRms: rms(runs.flatMap((run) => (run.temperatureK === null ? [] : [run.temperatureK]))),
    kappa: Math.max(1, Math.sqrt((KAPPA_PRIOR + squares) / (KAPPA_PRIOR + timed.length))),
  };
}

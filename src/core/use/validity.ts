import { type Demand, instants, lastOfUse } from "./demand.js";
import type { PackModel } from "./model/pack-model.js";
import type { Pass } from "./simulate-use.js";
import type { Use } from "./use.js";

/** Why nothing is said, and which run would be needed to say it. */
export interface NeededRun {
  readonly reason:
    | "mean-current"
    | "peak-current"
    | "low-current"
    | "charge"
    | "temperature"
    | "start-temperature"
    | "age"
    | "agreement"
    | "reserve";
  readonly message: string;
}

/** How far a use is followed validly: stretches before `size`, and what would be needed to say more. */
export interface Validity {
  readonly size: number;
  readonly needed: readonly NeededRun[];
}

/** Factors on the largest mean and peak current measured. */
const MAX_MEAN = 1.4;
const MAX_PEAK = 1.4;
/** On the smallest mean current, and where a run at a quarter of the hardest or less was measured. */
const MIN_MEAN = 0.3;
const MIN_MEAN_WITH_GENTLE = 0.1;
const GENTLE_SHARE = 0.25;
/** On the largest charge measured: beyond it the source is not known. */
export const MAX_CHARGE = 1.01;
const COLDER_K = 10;
const HOTTER_K = 5;
/** Where no run has a probe, packs were at room temperature. */
const ROOM_C: readonly [number, number] = [10, 35];
/** Ages reach so far beyond those of the tested packs: half of what they span, and at least so many cycles (common practice, no published source). */
const AGE_SHARE = 0.5;
const AGE_CYCLES = 30;
/** Beyond this factor on their uncertainties a pack's runs contradict each other, and no prediction follows from them (common practice, no published source). */
export const MAX_KAPPA = 5;
const SLACK = 1e-9;
/** Shares of charge that are this close are the same. */
export const SHARE_SLACK = 1e-12;

/** Currents to which a model's answers reach, A of the pack. */
export function currentReach({ range }: PackModel): {
  lowestMeanA: number;
  highestMeanA: number;
  highestPeakA: number;
} {
  const [low, high] = range.meanA;
  return {
    lowestMeanA: low * (low <= GENTLE_SHARE * high ? MIN_MEAN_WITH_GENTLE : MIN_MEAN),
    highestMeanA: high * MAX_MEAN,
    highestPeakA: range.peakA * MAX_PEAK,
  };
}

/** Start temperatures to which they reach, degC. */
export function startReach({ range }: PackModel): readonly [number, number] {
  if (range.startC === null || range.maxC === null) return ROOM_C;
  return [range.startC[0] - COLDER_K, range.maxC + HOTTER_K];
}

/** Ages to which they reach, cycles; null where nobody said how old the tested packs were. */
export function ageReach({ range: { cycles } }: PackModel): readonly [number, number] | null {
  if (cycles === null) return null;
  const [low, high] = cycles;
  const beyond = Math.max(AGE_CYCLES, AGE_SHARE * (high - low));
  return [Math.max(0, low - beyond), high + beyond];
}

const amperes = (value: number) => `${Number(value.toPrecision(3))} A`;

const PAST_CHARGE: NeededRun = {
  reason: "charge",
  message: "a gentler run to the cutoff: the use draws more charge than any run did",
};

/** Holds a pass against what was measured. Past its charge or its temperature nothing is said; outside its currents nothing at all. */
export function validityOf(
  model: PackModel,
  pass: Pass,
  demand: Demand,
  use: Pick<Use, "startC" | "cycles" | "cutoffVoltsPerCell" | "reserve">,
): Validity {
  const { startC, cycles = null } = use;
  const needed: NeededRun[] = [];
  const reach = currentReach(model);
  const { meanA, underA, peakA } = currentsOf(pass, demand, use.cutoffVoltsPerCell);
  const kappa = model.validation?.kappa ?? 1;
  if (kappa > MAX_KAPPA) {
    const message = `runs that agree: the times to the cutoff of the pack's runs lie ${kappa.toPrecision(2)} times as far apart as their uncertainties say`;
    needed.push({ reason: "agreement", message });
  }
  const [coldest, hottest] = startReach(model);
  if (startC < coldest - SLACK || startC > hottest + SLACK) {
    const message = `a run that starts near ${startC} degC; predictions reach from ${coldest.toFixed(1)} to ${hottest.toFixed(1)} degC`;
    needed.push({ reason: "start-temperature", message });
  }
  const ages = ageReach(model);
  if (cycles !== null && (ages === null || cycles < ages[0] || cycles > ages[1])) {
    const told = ages && `; predictions reach from ${Math.round(ages[0])} to ${Math.round(ages[1])} cycles`;
    needed.push({ reason: "age", message: `a run of a pack of about ${cycles} cycles${told ?? ""}` });
  }
  if (meanA > reach.highestMeanA + SLACK) {
    const message = `a full load of ${amperes(meanA / MAX_MEAN)} or more in the mean; the use draws ${amperes(meanA)}`;
    needed.push({ reason: "mean-current", message });
  }
  if (peakA > reach.highestPeakA + SLACK) {
    const message = `a full load of ${amperes(peakA / MAX_PEAK)} or more; the use draws ${amperes(peakA)} at its peak`;
    needed.push({ reason: "peak-current", message });
  }
  if (underA > 0 && underA < reach.lowestMeanA - SLACK) {
    const message = `a rated-capacity test or a gentle step; the use draws ${amperes(underA)}, less than ${amperes(reach.lowestMeanA)}`;
    needed.push({ reason: "low-current", message });
  }
  if (needed.length > 0) return { size: 0, needed };
  let size = 0;
  const maxShare = MAX_CHARGE * model.range.chargeShare;
  const maxC = model.range.maxC === null ? Number.POSITIVE_INFINITY : model.range.maxC + HOTTER_K;
  for (; size < pass.size; size++) {
    if ((pass.share[size] as number) > maxShare) {
      needed.push(PAST_CHARGE);
      break;
    }
    if ((pass.temperature[size] as number) > maxC) {
      const message = `a run that warms the pack past ${maxC.toFixed(1)} degC`;
      needed.push({ reason: "temperature", message });
      break;
    }
  }
  if (size === pass.size && pass.end === "demand") needed.push(...reserveUndrawn(pass, demand, use));
  const last = lastOfUse(instants(demand), demand);
  const isPast = last < size && (pass.share[last] as number) / (1 - use.reserve) > maxShare + SHARE_SLACK;
  if (needed.length === 0 && isPast) needed.push(PAST_CHARGE);
  return { size, needed };
}

/** Where a use, carried on, did not draw the charge that it and its reserve need. */
function reserveUndrawn({ share, size }: Pass, demand: Demand, { reserve }: Pick<Use, "reserve">): NeededRun[] {
  const ends = instants(demand);
  const wanted = (share[lastOfUse(ends, demand)] as number) / (1 - reserve);
  const drawn = share[size - 1] as number;
  if (drawn >= wanted - SHARE_SLACK) return [];
  const percent = (value: number) => `${(100 * value).toPrecision(3)} %`;
  const message = `a smaller reserve: the use draws less and less, and was followed until ${percent(drawn)} of the pack's charge was drawn; with its reserve it needs ${percent(wanted)}`;
  return [{ reason: "reserve", message }];
}

/** Of the use until its end or its cutoff: mean current, the largest mean up to the end of a step, mean while it draws any, and the largest. */
export function currentsOf(
  pass: Pass,
  demand: Demand,
  cutoff: number,
): { meanA: number; hardestA: number; underA: number; peakA: number } {
  let [time, under, charge, peakA, hardestA] = [0, 0, 0, 0, 0];
  for (let i = 0; i < pass.size && time < demand.durationS - SLACK; i++) {
    const h = demand.seconds[i] as number;
    const amps = pass.current[i] as number;
    if ((pass.voltage[i] as number) < cutoff) break;
    if (demand.first[i] === 1 && time > 0) hardestA = Math.max(hardestA, charge / time);
    time += h;
    charge += h * amps;
    if (amps > 0) under += h;
    peakA = Math.max(peakA, amps);
  }
  const meanA = time > 0 ? charge / time : 0;
  return { meanA, hardestA: Math.max(hardestA, meanA), underA: under > 0 ? charge / under : 0, peakA };
}

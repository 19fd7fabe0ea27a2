import { hypot } from "../numerics/hypot.js";
import { log } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import { normalProbability } from "../statistics/normal-probability.js";
import { type Demand, instants, lastOfUse, SLACK_S } from "./demand.js";
import { CERTAIN, spentOf } from "./holding.js";
import type { Passes } from "./perturbed-passes.js";
import type { Pass } from "./simulate-use.js";
import { isLoad, type TimeUnderLoad, timeUnderLoad } from "./time-under-load.js";
import type { Use } from "./use.js";
import { SHARE_SLACK } from "./validity.js";

export const LIMIT_REASONS = ["voltage", "power", "temperature", "reserve"] as const;
/** power: more than the pack can give; reserve: less charge would be left at the end than is wanted. */
export type LimitReason = (typeof LIMIT_REASONS)[number];

/** An instant with its standard uncertainty, s from the start of the use. */
export interface UncertainInstant {
  readonly value: number;
  readonly uncertainty: number;
}

/** Whether a pack holds a use. */
export interface Verdict {
  /** null: the runs do not tell. */
  readonly holds: boolean | null;
  readonly probability: number | null;
  /** Smallest voltage of a cell above the cutoff during the use, with what is kept in reserve gone from it, V; null when it was not followed so far. */
  readonly marginVoltsPerCell: number | null;
  readonly marginUncertainty: number | null;
  /** The first limit that is met. */
  readonly limit: { readonly reason: LimitReason; readonly at: UncertainInstant } | null;
  /** The use carried on: when its cutoff is met; a lower bound where `isLowerBound`. null when no end was found. */
  readonly lasts: (UncertainInstant & { readonly isLowerBound: boolean }) | null;
  /** Share of the pack's charge that is left at the end of the use. */
  readonly shareLeft: number | null;
}

/** What the model leaves out: of a voltage and of a time, relatively, and of a temperature, K (docs/use.md). */
export const MODEL_ERROR = { voltage: 0.0015, time: 0.006, temperatureK: 0.7 } as const;

/** The same for each e-fold by which a use draws more, in the mean, than the hardest run did: simulated packs of two runs (docs/use.md). */
const BEYOND_ERROR = { voltage: 0.01, time: 0.03 } as const;

/** What the model leaves out of a voltage or a time, relatively, at the currents of a use. */
export const modelErrorOf = (quantity: "voltage" | "time", { beyond }: Pick<Passes, "beyond">): number =>
  hypot(MODEL_ERROR[quantity], BEYOND_ERROR[quantity] * beyond);

/** Where a pass meets a limit of the cell: its instant, its share of charge and why; null where it does not. */
interface Crossing {
  readonly at: number;
  readonly share: number;
  readonly reason: "voltage" | "power";
}

/** How far a use is told: stretches that are followed validly, and the share of charge beyond which nothing is known. */
interface Told {
  readonly size: number;
  readonly maxShare: number;
}

/** What a pack does under a use. Whether it holds it, and how surely, is judged of the use itself with the reserve gone from the pack; `lasts` carries it on. */
export function verdictOf(passes: Passes, demand: Demand, use: Use, { size, maxShare }: Told): Verdict {
  const { expected } = passes;
  const cutoff = use.cutoffVoltsPerCell;
  const ends = instants(demand);
  const useEnd = lastOfUse(ends, demand);
  const crossing = crossingOf(expected, demand, ends, cutoff, size);
  const hot = hotAt(expected, ends, use.temperatureLimitC, Math.min(size, useEnd + 1));
  const isFollowed = useEnd < size;
  const shareUsed = isFollowed ? (expected.share[useEnd] as number) : null;
  const followedTo = size > 0 ? (ends[size - 1] as number) : 0;
  const until = crossing?.at ?? followedTo;
  const load = timeUnderLoad(demand, ends);
  const uncertainty = timeUncertainty(passes, demand, ends, cutoff, load, until);
  /** A share of the time under load until then; by the clock a rest adds to it only where that reaches across the rest. */
  const instant = (value: number): UncertainInstant => {
    const loaded = load.until(value);
    const [early, late] = [loaded * (1 - uncertainty), loaded * (1 + uncertainty)].map((one) =>
      load.instantOf(Math.max(0, one)),
    ) as [number, number];
    return { value, uncertainty: value === 0 ? 0 : (late - early) / 2 };
  };
  // Where the pass met its cutoff the rest of the use is beyond it; else nothing is known past what was followed.
  const judged = isFollowed || crossing !== null ? useEnd + 1 : size;
  const errors = { voltage: modelErrorOf("voltage", passes), time: modelErrorOf("time", passes) };
  const spent = spentOf(passes, demand, use, judged, errors, maxShare);
  const limit = firstLimit();
  const isHeld = limit === null && isTold();
  return {
    holds: limit ? false : isHeld ? true : null,
    probability: limit !== null || isHeld ? sure(Math.min(distance(), coolness())) : null,
    ...margin(),
    limit,
    lasts: size === 0 && crossing === null ? null : { ...instant(until), isLowerBound: crossing === null },
    shareLeft: shareUsed === null ? null : Math.max(0, 1 - shareUsed),
  };

  /** Whether the charge that the use and its reserve need was drawn, or more than the use can, and within what was measured. */
  function isTold(): boolean {
    if (shareUsed === null) return false;
    const wanted = shareUsed / (1 - use.reserve);
    if (wanted > maxShare + SHARE_SLACK) return false;
    return crossing !== null || (expected.share[size - 1] as number) >= wanted - SHARE_SLACK;
  }

  function firstLimit(): Verdict["limit"] {
    const within = crossing !== null && crossing.at <= demand.durationS + SLACK_S ? crossing : null;
    if (hot !== null && (within === null || hot < within.at)) return { reason: "temperature", at: instant(hot) };
    if (within) return { reason: within.reason, at: instant(within.at) };
    const i = spent.voltage.subarray(0, Math.min(judged, size)).findIndex((volts) => volts < cutoff);
    if (i < 0) return null;
    const [volts, before] = [spent.voltage[i] as number, i > 0 ? (spent.voltage[i - 1] as number) : cutoff];
    // Voltages at the ends of stretches: between two of one load the cutoff is met on the way.
    const part = demand.first[i] === 1 || before < cutoff ? 0 : (before - cutoff) / (before - volts);
    const start = (ends[i] as number) - (demand.seconds[i] as number);
    return {
      reason: use.reserve > 0 ? "reserve" : "voltage",
      at: instant(start + part * (demand.seconds[i] as number)),
    };
  }

  /** Standard uncertainties to the nearest pack that just holds the use, or just not: of the load at which that is fewest. */
  function distance(): number {
    let least = CERTAIN;
    for (let i = judged - 1; i >= 0 && least > -CERTAIN; i--) {
      if (isLoad(demand, i)) least = spent.distance(i, least);
    }
    return least;
  }

  /** Standard uncertainties by which the skin stays below its limit; a start is as sure as the model is. */
  function coolness(): number {
    let least = (use.temperatureLimitC - use.startC) / MODEL_ERROR.temperatureK;
    for (let i = 0; i < Math.min(size, useEnd + 1); i++) {
      const below = use.temperatureLimitC - (expected.temperature[i] as number);
      const uncertainty = temperatureUncertainty(passes, i);
      if (below < least * uncertainty) least = below / uncertainty;
    }
    return least;
  }

  function margin(): Pick<Verdict, "marginVoltsPerCell" | "marginUncertainty"> {
    if (!isTold()) return { marginVoltsPerCell: null, marginUncertainty: null };
    const i = spent.voltage.reduce(
      (weakest, volts, n) => (volts < (spent.voltage[weakest] as number) ? n : weakest),
      0,
    );
    return {
      marginVoltsPerCell: (spent.voltage[i] as number) - cutoff,
      marginUncertainty: spent.uncertainty(i),
    };
  }
}

/** The probability of what lies so many standard uncertainties within its limit. */
function sure(distance: number): number {
  if (Math.abs(distance) >= CERTAIN) return distance > 0 ? 1 : 0;
  return normalProbability(distance);
}

function crossingOf(pass: Pass, demand: Demand, ends: Float64Array, cutoff: number, size: number): Crossing | null {
  for (let i = 0; i < size; i++) {
    const volts = pass.voltage[i] as number;
    if (volts >= cutoff) continue;
    const h = demand.seconds[i] as number;
    const middle = (ends[i] as number) - h / 2;
    const start = middle - h / 2;
    // From the middle of the stretch before, unless the load changed between.
    if (i === 0 || demand.first[i] === 1)
      return { at: start, share: i === 0 ? 0 : (pass.share[i - 1] as number), reason: "voltage" };
    const beforeH = demand.seconds[i - 1] as number;
    const before = pass.voltage[i - 1] as number;
    const part = (before - cutoff) / (before - volts);
    const at = start - beforeH / 2 + part * ((h + beforeH) / 2);
    return { at, share: pass.share[i - 1] as number, reason: "voltage" };
  }
  if (pass.end !== "power" || size < pass.size) return null;
  const last = pass.size - 1;
  return {
    at: last < 0 ? 0 : (ends[last] as number),
    share: last < 0 ? 0 : (pass.share[last] as number),
    reason: "power",
  };
}

function hotAt(pass: Pass, ends: Float64Array, limitC: number, size: number): number | null {
  const i = pass.temperature.subarray(0, size).findIndex((celsius) => celsius > limitC);
  return i < 0 ? null : (ends[i] as number);
}

/** Relative standard uncertainty of the time under load until a pack is empty: how far the perturbed passes' ends lie from the expected one's. */
function timeUncertainty(
  passes: Passes,
  demand: Demand,
  ends: Float64Array,
  cutoff: number,
  load: TimeUnderLoad,
  until: number,
): number {
  let squares = square(modelErrorOf("time", passes));
  const loaded = load.until(until);
  if (loaded <= 0) return Math.sqrt(squares);
  for (const pass of passes.perturbed) {
    const end =
      crossingOf(pass, demand, ends, cutoff, pass.size)?.at ?? (pass.size > 0 ? (ends[pass.size - 1] as number) : 0);
    squares += Math.min(1, square(log(Math.max(load.until(end), 1e-3) / loaded)));
  }
  return Math.sqrt(squares);
}

/** How far a perturbed pass lies off the expected one at a stretch; past its own end as far as there, for it was not followed on. */
export function deviationAt(expected: Float64Array, perturbed: Float64Array, size: number, i: number): number {
  const at = Math.min(i, size - 1);
  return at < 0 ? 0 : (perturbed[at] as number) - (expected[at] as number);
}

/** Standard uncertainty of a cell's voltage at a stretch, V. */
export function voltageUncertainty(passes: Passes, i: number): number {
  const { expected, perturbed } = passes;
  let squares = square(modelErrorOf("voltage", passes) * (expected.voltage[i] as number));
  for (const { voltage, size } of perturbed) squares += square(deviationAt(expected.voltage, voltage, size, i));
  return Math.sqrt(squares);
}

/** Of the skin's temperature at a stretch, K. */
export function temperatureUncertainty({ expected, perturbed }: Passes, i: number): number {
  let squares = square(MODEL_ERROR.temperatureK);
  for (const { temperature, size } of perturbed)
    squares += square(deviationAt(expected.temperature, temperature, size, i));
  return Math.sqrt(squares);
}

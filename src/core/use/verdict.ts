import { hypot } from "../numerics/hypot.js";
import { log } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import { normalProbability } from "../statistics/normal-probability.js";
import { type Demand, instants, lastOfUse, SLACK_S } from "./demand.js";
import type { Passes } from "./perturbed-passes.js";
import type { Pass } from "./simulate-use.js";
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
  /** Smallest voltage of a cell above the cutoff, with what is kept in reserve drawn too, V; null when it was not followed so far. */
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

/** @param size stretches that are followed validly */
export function verdictOf(passes: Passes, demand: Demand, use: Use, size: number): Verdict {
  const { expected } = passes;
  const cutoff = use.cutoffVoltsPerCell;
  const ends = instants(demand);
  const crossing = crossingOf(expected, demand, ends, cutoff, size);
  const hot = hotAt(expected, ends, use.temperatureLimitC, Math.min(size, lastOfUse(ends, demand) + 1));
  const useEnd = lastOfUse(ends, demand);
  const isFollowed = useEnd < size;
  const shareUsed = isFollowed ? (expected.share[useEnd] as number) : null;
  const shareNeeded = shareUsed === null ? null : shareUsed / (1 - use.reserve);
  const followedTo = size > 0 ? (ends[size - 1] as number) : 0;
  const until = crossing?.at ?? followedTo;
  const uncertainty = timeUncertainty(passes, demand, ends, cutoff, until);
  const instant = (value: number): UncertainInstant => ({ value, uncertainty: value === 0 ? 0 : uncertainty * value });
  const limit = firstLimit();
  const needed = neededTill();
  const reached = crossing !== null || needed !== null || limit !== null;
  return {
    holds: limit ? false : needed === null ? null : true,
    probability: reached ? probability() : null,
    ...margin(),
    limit,
    lasts: size === 0 && crossing === null ? null : { ...instant(until), isLowerBound: crossing === null },
    shareLeft: shareUsed === null ? null : Math.max(0, 1 - shareUsed),
  };

  /** When the charge that the use and its reserve need has been drawn; null where it was not followed so far. */
  function neededTill(): number | null {
    if (shareNeeded === null) return null;
    const at = expected.share
      .subarray(0, size)
      .findIndex((share, i) => i >= useEnd && share >= shareNeeded - SHARE_SLACK);
    return at < 0 ? null : (ends[at] as number);
  }

  function firstLimit(): Verdict["limit"] {
    const within = crossing !== null && crossing.at <= demand.durationS + SLACK_S ? crossing : null;
    if (hot !== null && (within === null || hot < within.at)) return { reason: "temperature", at: instant(hot) };
    if (within) return { reason: within.reason, at: instant(within.at) };
    if (crossing === null || shareNeeded === null || crossing.share >= shareNeeded) return null;
    const allowed = crossing.share * (1 - use.reserve);
    const at = expected.share.subarray(0, size).findIndex((share) => share >= allowed);
    return { reason: "reserve", at: instant(ends[at] as number) };
  }

  function probability(): number {
    const { at } = crossing ?? { at: followedTo };
    const target = needed ?? neededEstimate(at);
    let holds = normalProbability(log(at / target) / uncertainty);
    const weakest = weakestOf(expected, size, ends, target);
    if (weakest !== null) {
      const { volts, i } = weakest;
      const byVolts = normalProbability((volts - cutoff) / voltageUncertainty(passes, i));
      if (crossing === null || at >= target) holds = Math.min(holds, byVolts);
      else if (needed !== null) holds = Math.max(holds, byVolts);
    }
    const until = Math.min(size, useEnd + 1);
    const warmest = expected.temperature.subarray(0, until).reduce((a, b) => Math.max(a, b), use.startC);
    const byWarmth = normalProbability((use.temperatureLimitC - warmest) / warmestUncertainty());
    return Math.min(holds, byWarmth);
  }

  /** Where the use itself was not followed to its end: its duration, and the reserve at the same pace. */
  function neededEstimate(at: number): number {
    if (crossing === null || crossing.at <= demand.durationS) return demand.durationS / (1 - use.reserve);
    return at * ((shareNeeded ?? crossing.share) / crossing.share);
  }

  function warmestUncertainty(): number {
    const i = Math.min(size, useEnd + 1) - 1;
    return i < 0 ? MODEL_ERROR.temperatureK : temperatureUncertainty(passes, i);
  }

  function margin(): Pick<Verdict, "marginVoltsPerCell" | "marginUncertainty"> {
    const weakest = needed === null ? null : weakestOf(expected, size, ends, needed);
    if (weakest === null) return { marginVoltsPerCell: null, marginUncertainty: null };
    return { marginVoltsPerCell: weakest.volts - cutoff, marginUncertainty: voltageUncertainty(passes, weakest.i) };
  }
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

/** Relative standard uncertainty of the time until a pack is empty: how far the perturbed passes' ends lie from the expected one's. */
function timeUncertainty(passes: Passes, demand: Demand, ends: Float64Array, cutoff: number, until: number): number {
  let squares = square(modelErrorOf("time", passes));
  if (until <= 0) return Math.sqrt(squares);
  for (const pass of passes.perturbed) {
    const end =
      crossingOf(pass, demand, ends, cutoff, pass.size)?.at ?? (pass.size > 0 ? (ends[pass.size - 1] as number) : 0);
    squares += Math.min(1, square(log(Math.max(end, 1e-3) / until)));
  }
  return Math.sqrt(squares);
}

/** The stretch with the lowest voltage that ends by an instant. */
function weakestOf({ voltage }: Pass, size: number, ends: Float64Array, until: number) {
  let weakest: { volts: number; i: number } | null = null;
  for (let i = 0; i < size && (ends[i] as number) <= until + SLACK_S; i++) {
    const volts = voltage[i] as number;
    if (weakest === null || volts < weakest.volts) weakest = { volts, i };
  }
  return weakest;
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

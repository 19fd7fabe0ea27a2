import type { LogDemand } from "./log-demand.js";
import { stretchesOf } from "./predict.js";
import { MAX_STRETCHES, USUAL_RESERVE, type UseStep } from "./use.js";

/** Steps made of a log's pieces, and what that did to them. Values in A or W. */
export interface FoldedLoads {
  readonly steps: readonly UseStep[];
  /** Stretches into which a prediction with the usual reserve cuts them. */
  readonly stretches: number;
  /** Pieces of a step lie so close together, as a share of the largest. */
  readonly within: number;
  /** Loads were put in rising order within times so long, s; null where all stand as they were logged. */
  readonly orderedWithinS: number | null;
  readonly pieceS: number;
  /** The largest piece, and the largest step. */
  readonly loggedPeak: number;
  readonly peak: number;
}

/** A use of a log has so many steps at most, which a body of 256 KiB holds, and is cut into so many stretches: one pack's with some to spare for a larger reserve. */
const MAX_STEPS = 3_000;
const MAX_STRETCHES_OF_LOG = 0.8 * MAX_STRETCHES.prediction;
/** How close together pieces of one step lie, as a share of the largest: the first where that makes a use that is not too large. */
export const CLOSE = [0.01, 0.02, 0.05, 0.1] as const;
const MAX_WITHIN = 0.1;
/** Loads within that of each other are at most so many, from the largest to none. */
const LEVELS = 11;

interface Step {
  readonly pieces: number;
  readonly mean: number;
}

/**
 * Pieces that follow each other are one step while they lie close together. Where these would be too many, pieces are ordered by their load within
 * times of some seconds or minutes, so that no peak is averaged away: a step lies within 10 % of the largest load of each of its pieces. The
 * charge (of a power the energy) is kept.
 *
 * @param pieces mean loads of equal length, A or W
 */
export function foldLoads(pieces: Float64Array, pieceS: number, demand: LogDemand): FoldedLoads {
  const loggedPeak = pieces.reduce((most, value) => Math.max(most, value), 0);
  const made = (steps: readonly Step[], within: number, orderedWithinS: number | null): FoldedLoads => {
    const asked = steps.map(({ pieces: count, mean }) => stepOf(count * pieceS, mean, demand));
    const stretches = stretchesOf({ steps: asked, repeats: 1, reserve: USUAL_RESERVE });
    const peak = steps.reduce((most, { mean }) => Math.max(most, mean), 0);
    return { steps: asked, stretches, within, orderedWithinS, pieceS, loggedPeak, peak };
  };
  for (const within of CLOSE) {
    const steps = joined(pieces, within * loggedPeak);
    if (steps.length > MAX_STEPS) continue;
    const found = made(steps, within, null);
    if (found.stretches <= MAX_STRETCHES_OF_LOG) return found;
  }
  const atOnce = Math.ceil(pieces.length / Math.floor(MAX_STEPS / LEVELS));
  const steps: Step[] = [];
  for (let from = 0; from < pieces.length; from += atOnce) {
    const falling = pieces.slice(from, from + atOnce).sort((a, b) => b - a);
    steps.push(...joined(falling, MAX_WITHIN * loggedPeak).reverse());
  }
  return made(steps, MAX_WITHIN, atOnce * pieceS);
}

/** Pieces that follow each other, as one step while they lie within `range` of each other. */
function joined(pieces: Float64Array, range: number): Step[] {
  const steps: Step[] = [];
  let [from, low, high, sum] = [0, Number.POSITIVE_INFINITY, 0, 0];
  const close = (to: number) => steps.push({ pieces: to - from, mean: sum / (to - from) });
  pieces.forEach((value, i) => {
    if (Math.max(high, value) - Math.min(low, value) > range && i > from) {
      close(i);
      [from, low, high, sum] = [i, Number.POSITIVE_INFINITY, 0, 0];
    }
    [low, high, sum] = [Math.min(low, value), Math.max(high, value), sum + value];
  });
  close(pieces.length);
  return steps;
}

function stepOf(length: number, mean: number, demand: LogDemand): UseStep {
  const [seconds, asked] = [Number(length.toPrecision(9)), Number(mean.toPrecision(7))];
  return demand === "power" ? { seconds, powerW: asked } : { seconds, currentA: asked };
}

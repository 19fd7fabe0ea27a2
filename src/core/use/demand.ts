import { standardOhmPerCell } from "../translation/standard-loads.js";
import { durationOf, type Use, type UseStep } from "./use.js";

/** What a step demands: a current, a resistance or a power. */
export const DEMAND_CURRENT = 0;
export const DEMAND_RESISTANCE = 1;
export const DEMAND_POWER = 2;

/** A use as short stretches of time, per cell. All arrays have one number for each stretch. */
export interface Demand {
  readonly seconds: Float64Array;
  readonly kind: Uint8Array;
  /** A, ohm of a cell or W of a cell, by its kind. */
  readonly value: Float64Array;
  /** Whether the stretch is the first of its step. */
  readonly first: Uint8Array;
  /** Of the use itself, s; what follows carries it on. */
  readonly durationS: number;
}

/** What of an instant at the edge of a stretch is rounding, s. */
export const SLACK_S = 1e-6;

/** Length of a stretch and until when it is kept, s since the step began. */
const LENGTHS = [
  [1, 0.25],
  [10, 0.5],
  [120, 1],
  [1200, 2],
  [Number.POSITIVE_INFINITY, 5],
] as const;

const USUAL_VOLTS = 3.7;
/** What of the charge is left by rounding alone. */
const ROUNDING = 1e-12;

/** Stretches of one step: how long each is and how many there are, by the time since the step began. */
function* cutsOf(length: number): Generator<{ readonly h: number; readonly parts: number }> {
  let since = 0;
  for (const [end, usual] of LENGTHS) {
    if (since >= length - 1e-9) return;
    const until = Math.min(end, length);
    const parts = Math.max(1, Math.ceil((until - since) / usual - 1e-9));
    yield { h: (until - since) / parts, parts };
    since = until;
  }
}

/** Into how many stretches a use is cut, about: at least as many as `demandOf` writes out, and few more. */
export function stretchesOf({ steps, repeats }: Pick<Use, "steps" | "repeats">, factor: number): number {
  let once = 0;
  for (const { seconds } of steps) for (const { parts } of cutsOf(seconds)) once += parts;
  return once * Math.ceil(repeats * factor);
}

/**
 * Writes a use out, carried on by repeating it: what it leaves in reserve is told by going on.
 *
 * @param factor how many times its own charge is drawn, at the usual voltage of a cell
 */
export function demandOf(use: Pick<Use, "steps" | "repeats">, series: number, factor: number): Demand {
  const seconds: number[] = [];
  const kind: number[] = [];
  const value: number[] = [];
  const first: number[] = [];
  const steps = use.steps.map((step) => {
    const [what, amount] = demandOfStep(step, series);
    return { length: step.seconds, what, amount, amperes: usualCurrent(what, amount) };
  });
  const total = factor * use.repeats * steps.reduce((sum, { length, amperes }) => sum + length * amperes, 0);
  let left = total;
  while (left > ROUNDING * total) {
    for (const { length, what, amount, amperes } of steps) {
      if (left <= ROUNDING * total) break;
      const until = amperes > 0 ? Math.min(length, left / amperes) : length;
      let isFirst = 1;
      for (const { h, parts } of cutsOf(until)) {
        for (let i = 0; i < parts; i++) {
          first.push(isFirst);
          seconds.push(h);
          kind.push(what);
          value.push(amount);
          isFirst = 0;
        }
      }
      left -= until * amperes;
    }
  }
  return {
    seconds: Float64Array.from(seconds),
    kind: Uint8Array.from(kind),
    value: Float64Array.from(value),
    first: Uint8Array.from(first),
    durationS: durationOf(use),
  };
}

/** What a step draws from a cell of the usual voltage, A: of a use only its course matters. */
function usualCurrent(what: number, amount: number): number {
  if (what === DEMAND_CURRENT) return amount;
  return what === DEMAND_RESISTANCE ? USUAL_VOLTS / amount : amount / USUAL_VOLTS;
}

function demandOfStep(step: UseStep, series: number): readonly [kind: number, value: number] {
  if (step.powerW != null) return step.powerW === 0 ? [DEMAND_CURRENT, 0] : [DEMAND_POWER, step.powerW / series];
  if (step.currentA != null) return [DEMAND_CURRENT, step.currentA];
  if (step.resistanceOhm != null) return [DEMAND_RESISTANCE, step.resistanceOhm / series];
  if (step.standardLoad != null) {
    const { loadA, share } = step.standardLoad;
    return [DEMAND_RESISTANCE, standardOhmPerCell(loadA) / share];
  }
  throw new RangeError("a step of a use needs a demand");
}

/** Ends of all stretches, s. */
export function instants({ seconds }: Demand): Float64Array {
  let time = 0;
  return seconds.map((h) => {
    time += h;
    return time;
  });
}

/** The last stretch of the use itself. */
export const lastOfUse = (ends: Float64Array, { durationS }: Demand): number =>
  ends.findIndex((end) => end >= durationS - SLACK_S);

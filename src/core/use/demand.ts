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

/** Length of a stretch and until when it is kept, s since the step began. */
const LENGTHS = [
  [1, 0.25],
  [10, 0.5],
  [120, 1],
  [1200, 2],
  [Number.POSITIVE_INFINITY, 5],
] as const;

/**
 * Writes a use out, carried on by repeating it: what it leaves in reserve is told by going on.
 *
 * @param factor how many times its own duration is written out
 */
export function demandOf(use: Pick<Use, "steps" | "repeats">, series: number, factor: number): Demand {
  const durationS = durationOf(use);
  const seconds: number[] = [];
  const kind: number[] = [];
  const value: number[] = [];
  const first: number[] = [];
  let left = durationS * factor;
  while (left > 1e-9) {
    for (const step of use.steps) {
      if (left <= 1e-9) break;
      const length = Math.min(step.seconds, left);
      const [what, amount] = demandOfStep(step, series);
      let since = 0;
      while (since < length - 1e-9) {
        const [until, usual] = LENGTHS.find(([end]) => since < end - 1e-9) as (typeof LENGTHS)[number];
        const parts = Math.max(1, Math.ceil((Math.min(until, length) - since) / usual - 1e-9));
        const h = (Math.min(until, length) - since) / parts;
        for (let i = 0; i < parts; i++) {
          first.push(since === 0 && i === 0 ? 1 : 0);
          seconds.push(h);
          kind.push(what);
          value.push(amount);
        }
        since = Math.min(until, length);
      }
      left -= length;
    }
  }
  return {
    seconds: Float64Array.from(seconds),
    kind: Uint8Array.from(kind),
    value: Float64Array.from(value),
    first: Uint8Array.from(first),
    durationS,
  };
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

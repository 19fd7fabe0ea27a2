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

/**
 * Into how many stretches `demandOf` cuts a use: exactly where all steps that draw ask for the same quantity, else with the last round, which
 * may be written in part, counted whole.
 */
export function stretchesOf({ steps, repeats }: Pick<Use, "steps" | "repeats">, factor: number): number {
  const { whole, share } = roundsOf(repeats, factor);
  const count = (lengths: readonly number[]) =>
    lengths.reduce((sum, length) => sum + [...cutsOf(length)].reduce((of, { parts }) => of + parts, 0), 0);
  const once = count(steps.map(({ seconds }) => seconds));
  if (share === 0) return once * whole;
  // Against each other currents and powers, or powers and resistances, weigh by the number of cells.
  const isAlike = new Set(steps.flatMap((step) => demandedBy(step) ?? [])).size <= 1;
  return once * whole + (isAlike ? count(lastRound(loadsOf(steps, 1), share)) : once);
}

/** A step of a use per cell: what it demands, and the usual current of that. */
interface Load {
  readonly length: number;
  readonly kind: number;
  readonly value: number;
  readonly amperes: number;
}

const loadsOf = (steps: readonly UseStep[], series: number): Load[] =>
  steps.map((step) => {
    const [kind, value] = demandOfStep(step, series);
    return { length: step.seconds, kind, value, amperes: usualCurrent(kind, value) };
  });

/** How often all steps follow each other, and which share of their charge is then drawn once more. */
function roundsOf(repeats: number, factor: number): { readonly whole: number; readonly share: number } {
  const rounds = repeats * factor;
  const whole = Math.floor(rounds + ROUNDING * repeats);
  return { whole, share: Math.max(0, rounds - whole) };
}

/** How long each step of the last round lasts, until a share of a round's charge is drawn. */
function lastRound(loads: readonly Load[], share: number): number[] {
  const round = loads.reduce((sum, { length, amperes }) => sum + length * amperes, 0);
  const lengths: number[] = [];
  let left = share * round;
  for (const { length, amperes } of loads) {
    if (left <= ROUNDING * round) break;
    const until = amperes > 0 ? Math.min(length, left / amperes) : length;
    lengths.push(until);
    left -= until * amperes;
  }
  return lengths;
}

/**
 * Writes a use out, carried on by repeating it: what it leaves in reserve is told by going on.
 *
 * @param factor how many times its own charge is drawn, at the usual voltage of a cell
 */
export function demandOf(use: Pick<Use, "steps" | "repeats">, series: number, factor: number): Demand {
  const seconds: number[] = [];
  const kinds: number[] = [];
  const values: number[] = [];
  const first: number[] = [];
  const loads = loadsOf(use.steps, series);
  const write = (lengths: readonly number[]) =>
    lengths.forEach((length, k) => {
      const { kind, value } = loads[k] as Load;
      let isFirst = 1;
      for (const { h, parts } of cutsOf(length)) {
        for (let i = 0; i < parts; i++) {
          first.push(isFirst);
          seconds.push(h);
          kinds.push(kind);
          values.push(value);
          isFirst = 0;
        }
      }
    });
  const { whole, share } = roundsOf(use.repeats, factor);
  const round = loads.map(({ length }) => length);
  for (let n = 0; n < whole; n++) write(round);
  write(lastRound(loads, share));
  return {
    seconds: Float64Array.from(seconds),
    kind: Uint8Array.from(kinds),
    value: Float64Array.from(values),
    first: Uint8Array.from(first),
    durationS: durationOf(use),
  };
}

const DEMANDS = ["powerW", "currentA", "resistanceOhm", "standardLoad"] as const;

/** What a step asks for; null for a rest. */
const demandedBy = (step: UseStep) => DEMANDS.find((key) => step[key] != null && step[key] !== 0) ?? null;

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

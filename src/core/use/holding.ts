import { hypot } from "../numerics/hypot.js";
import { exp } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import { DEMAND_CURRENT, DEMAND_POWER, DEMAND_RESISTANCE, type Demand } from "./demand.js";
import type { Cell } from "./model/cell.js";
import { TABLE_INTERVALS } from "./model/pack-model.js";
import type { Passes } from "./perturbed-passes.js";
import type { Pass } from "./simulate-use.js";
import type { Use } from "./use.js";

/** A cell at the end of each stretch of a use, with what is kept in reserve gone from it. */
export interface Spent {
  /** V under the stretch's load. */
  readonly voltage: Float64Array;
  /** Standard uncertainty of that voltage. */
  readonly uncertainty: (i: number) => number;
  /** The same or less than `least`: how many standard uncertainties a stretch lies from the cutoff, below zero where it is beyond. */
  readonly distance: (i: number, least: number) => number;
}

/** What lies so many standard uncertainties off is certain. */
export const CERTAIN = 8;
/** Places at which the nearest pack at the limit is sought, and steps by which it is then found. */
const PLACES = 32;
const STEPS = 24;
/** A voltage that is known better than this counts as known so well, V: nothing is divided by less. */
const MIN_SPREAD_VOLTS = 1e-6;

/** Relative errors that the model leaves of a voltage and of a time. */
interface ModelErrors {
  readonly voltage: number;
  readonly time: number;
}

/**
 * A use as a cell bears it that has lost what shall be left in reserve: a share z of its charge drawn is then z / (1 - reserve). Each load meets
 * the resistance that it met in the pass. Where a pass ended before the use, its charge is that at the cutoff and its resistance the last.
 *
 * The distance is that to the nearest pack that is just at the cutoff, in standard uncertainties (the reliability index of Hasofer and Lind,
 * J. Eng. Mech. Div. ASCE 100, 1974, from memory): xi of the capacity, which moves the charge, and eta of all else, which moves the voltage.
 *
 * @param until stretches of the use
 * @param maxShare share of charge beyond which nothing is known: a pack counts as empty there
 */
export function spentOf(
  passes: Passes,
  demand: Demand,
  use: Pick<Use, "cutoffVoltsPerCell" | "reserve">,
  until: number,
  errors: ModelErrors,
  maxShare: number,
): Spent {
  const { cutoffVoltsPerCell: cutoff, reserve } = use;
  const expected = courseOf(passes.expected, demand, until, cutoff);
  const [capacity = null, ...others] = passes.perturbed.map((pass) => loadedAt(pass, demand));
  const { cell } = passes.expected;
  const along = hypot(passes.capacityUncertainty, errors.time);
  const left = 1 - reserve;
  const voltage = new Float64Array(until);
  for (let i = 0; i < until; i++) {
    voltage[i] = voltsAt(cell, demand, i, expected.ohm[i] as number, (expected.share[i] as number) / left);
  }
  /** How far a perturbed pass lies off at a stretch, V. */
  const off = (pass: LoadedPass, i: number): number => {
    const drawn = (expected.share[i] as number) * cell.chargeAs;
    const share = i < pass.size ? (pass.share[i] as number) : drawn / pass.cell.chargeAs;
    return voltsAt(pass.cell, demand, i, ohmAt(pass, demand, i) ?? pass.lastOhm, share / left) - (voltage[i] as number);
  };
  const byOthers = (i: number): number => {
    let squares = square(errors.voltage * (voltage[i] as number));
    for (const one of others) squares += square(off(one, i));
    return Math.sqrt(squares);
  };
  const uncertainty = (i: number): number => hypot(byOthers(i), capacity ? off(capacity, i) : 0);
  // Along a use the distance sought seldom changes.
  let [sought, times] = [0, 1];
  return { voltage, uncertainty, distance };

  /** Above the cutoff at a stretch where its share of the charge is so many times larger, V. */
  function above(i: number, factor: number): number {
    const share = ((expected.share[i] as number) / left) * factor;
    if (share > maxShare) return Number.NEGATIVE_INFINITY;
    return voltsAt(cell, demand, i, expected.ohm[i] as number, share) - cutoff;
  }

  function distance(i: number, least: number): number {
    const spread = Math.max(MIN_SPREAD_VOLTS, byOthers(i));
    const now = above(i, 1);
    if (now >= 0) {
      if (least !== sought) [sought, times] = [least, exp(least * along)];
      // A voltage falls along the charge: where it is so high at the distance sought, no pack at the cutoff is nearer.
      if (least <= 0 || above(i, times) >= least * spread) return least;
      return Math.min(
        least,
        nearest((xi) => Math.max(0, above(i, exp(xi * along))) / spread),
      );
    }
    if (-now / spread <= -least) return least;
    return Math.min(least, -nearest((xi) => Math.max(0, -above(i, exp(-xi * along))) / spread));
  }
}

/** The least of hypot(xi, eta(xi)) for xi from 0 on, where eta does not grow; at most CERTAIN. */
function nearest(eta: (xi: number) => number): number {
  const off = (xi: number) => hypot(xi, eta(xi));
  const step = CERTAIN / PLACES;
  let best = 0;
  for (let n = 1; n <= PLACES; n++) if (off(n * step) < off(best * step)) best = n;
  let [low, high] = [Math.max(0, best - 1) * step, (best + 1) * step];
  for (let n = 0; n < STEPS; n++) {
    const third = (high - low) / 3;
    if (off(low + third) <= off(high - third)) high -= third;
    else low += third;
  }
  return Math.min(CERTAIN, off(best * step), off(low));
}

interface Course {
  /** Share of charge drawn at the end of each stretch. */
  readonly share: Float64Array;
  /** What the voltage falls by under the load, by its current and the resistance's factor at the charge drawn, ohm. */
  readonly ohm: Float64Array;
}

function courseOf(pass: Pass, demand: Demand, until: number, cutoff: number): Course {
  const { cell, size } = pass;
  const { seconds, kind, value } = demand;
  const share = new Float64Array(until);
  const ohm = new Float64Array(until);
  let [z, last] = [0, cell.seriesOhm];
  for (let i = 0; i < until; i++) {
    if (i < size) {
      z = pass.share[i] as number;
      last = ohmAt(pass, demand, i) ?? last;
    } else {
      const amps = ampsAt(kind[i] as number, value[i] as number, cutoff);
      z += (amps * (seconds[i] as number)) / cell.chargeAs;
    }
    share[i] = z;
    ohm[i] = last;
  }
  return { share, ohm };
}

/** A pass with the resistance that its last load met, ohm. */
interface LoadedPass extends Pass {
  readonly lastOhm: number;
}

function loadedAt(pass: Pass, demand: Demand): LoadedPass {
  let i = pass.size - 1;
  while (i >= 0 && !((pass.current[i] as number) > 0)) i--;
  return { ...pass, lastOhm: ohmAt(pass, demand, i) ?? pass.cell.seriesOhm };
}

/** What a load met, as `Course` says; null of a rest, and where the pass was not followed. */
function ohmAt({ cell, size, current, voltage, share }: Pass, { seconds }: Demand, i: number): number | null {
  const amps = i >= 0 && i < size ? (current[i] as number) : 0;
  if (!(amps > 0)) return null;
  const middle = (share[i] as number) - (amps * (seconds[i] as number)) / (2 * cell.chargeAs);
  const fall = tableAt(cell.sourceVolts, middle) - (voltage[i] as number);
  return Math.max(0, fall / (amps * factorAt(cell, middle)));
}

function ampsAt(kind: number, value: number, volts: number): number {
  if (kind === DEMAND_CURRENT) return value;
  return kind === DEMAND_RESISTANCE ? volts / value : value / volts;
}

/** V of a cell under the load of a stretch; 0 where it cannot give the power. */
function voltsAt(cell: Cell, { kind, value }: Demand, i: number, ohm: number, share: number): number {
  const [source, behind] = [tableAt(cell.sourceVolts, share), ohm * factorAt(cell, share)];
  const asked = value[i] as number;
  if (kind[i] === DEMAND_RESISTANCE) return (source * asked) / (asked + behind);
  if (kind[i] !== DEMAND_POWER) return source - behind * asked;
  const root = source * source - 4 * behind * asked;
  return root >= 0 && source > 0 ? (source + Math.sqrt(root)) / 2 : 0;
}

/** A table at a share of the charge; past its end as steep as its last part. */
function tableAt(table: Float64Array, share: number): number {
  const place = Math.max(0, share) * TABLE_INTERVALS;
  const k = Math.min(Math.floor(place), TABLE_INTERVALS - 1);
  const low = table[k] as number;
  return low + (place - k) * ((table[k + 1] as number) - low);
}

const factorAt = ({ factor }: Cell, share: number): number => tableAt(factor, Math.min(1, share));

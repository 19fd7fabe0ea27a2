import type { Random } from "../../seed/simulator/random.js";
import { spread } from "../monte-carlo/population.js";

/** How one channel of an honest logger comes to its numbers. */
export interface Instrument {
  readonly gain: number;
  readonly offset: number;
  /** Standard deviation of one reading of the converter. */
  readonly noise: number;
  /** Step of the converter's codes. */
  readonly code: number;
  /** Readings that are averaged to one row. */
  readonly averaged: number;
  /** Share of the row before that a smoothing filter keeps, 0 for none. */
  readonly kept: number;
  /** The converter is asked anew every so many rows; between them its number is repeated. */
  readonly rowsHeld: number;
  readonly written: (value: number) => string;
}

const DECIMALS = [1, 2, 3, 4, 6] as const;

/**
 * A channel whose readings lie around `reading`: a converter of 10 to 24 bits with noise of a tenth of a code to three codes, averaged,
 * smoothed or neither, and written with few digits, with all, or in single precision.
 *
 * @param coarsest step of the digits at most
 */
export function drawInstrument(reading: number, coarsest: number, random: Random): Instrument {
  const bits = 10 + Math.floor(random.uniform() * 15);
  const code = Math.min(coarsest, (reading * random.between(1.1, 4)) / 2 ** bits);
  const decimals = DECIMALS.filter((digits) => 10 ** -digits <= coarsest);
  const places = decimals[Math.floor(random.uniform() * decimals.length)] as number;
  const style = random.uniform();
  return {
    gain: 1 + random.between(-0.003, 0.003),
    offset: reading * random.between(-0.0005, 0.0005),
    noise: code * spread(0.1, 3, random),
    code,
    averaged: random.uniform() < 0.5 ? 1 : 2 + Math.floor(3 * random.uniform()),
    kept: random.uniform() < 0.7 ? 0 : random.between(0.1, 0.8),
    rowsHeld: random.uniform() < 0.8 ? 1 : 1 + Math.floor(random.uniform() * 4),
    written: style < 0.6 ? (v) => v.toFixed(places) : style < 0.8 ? String : (v) => String(Math.fround(v)),
  };
}

/** What the logger writes of a channel, row by row. `at` gives the true value at an instant, s. */
export function readingsOf(
  { gain, offset, noise, code, averaged, kept, rowsHeld }: Instrument,
  instants: readonly number[],
  at: (seconds: number) => number,
  random: Random,
): number[] {
  const rows: number[] = [];
  for (let row = 0; row < instants.length; row++) {
    const seconds = instants[row] as number;
    const before = rows[row - 1];
    if (before !== undefined && row % rowsHeld > 0) {
      rows.push(before);
      continue;
    }
    const since = seconds - (instants[row - 1] ?? seconds);
    let sum = 0;
    for (let k = 0; k < averaged; k++) {
      const real = gain * at(seconds - (since * k) / averaged) + offset + noise * random.gaussian();
      sum += Math.round(real / code) * code;
    }
    rows.push(before === undefined ? sum / averaged : kept * before + (1 - kept) * (sum / averaged));
  }
  return rows;
}

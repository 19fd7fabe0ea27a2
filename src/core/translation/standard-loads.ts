/** The R10 series of preferred numbers times 100 (ISO 3; from memory). */
const R10_HUNDREDFOLD = [100, 125, 160, 200, 250, 315, 400, 500, 630, 800] as const;
/** Standard loads are those from 0.1 A to 8000 A. */
const MIN_EXPONENT = -1;
const MAX_EXPONENT = 3;

/** Volts of a cell by which the resistance of a standard load is fixed, whatever the chemistry. */
const STANDARD_CELL_VOLTS = 3.7;

/** Every standard load, A, in rising order. */
export const STANDARD_LOADS_A: readonly number[] = Array.from(
  { length: MAX_EXPONENT - MIN_EXPONENT + 1 },
  (_, i) => MIN_EXPONENT + i,
).flatMap((exponent) => R10_HUNDREDFOLD.map((hundredfold) => scaledBy(hundredfold, exponent - 2)));

/** An integer times a power of ten, rounded once: 31.5 and not 31.500000000000004. */
function scaledBy(whole: number, exponent: number): number {
  const power = Number(`1e${Math.abs(exponent)}`);
  return exponent < 0 ? whole / power : whole * power;
}

/**
 * Resistance of a standard load for one cell, ohm: 3.7 V / load. A pack of S cells in series sees S times that: the same for every
 * pack of S cells.
 *
 * @param loadA one of the standard loads, A
 */
export const standardOhmPerCell = (loadA: number): number => STANDARD_CELL_VOLTS / loadA;

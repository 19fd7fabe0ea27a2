import { preferredNumbers } from "../numerics/preferred-numbers.js";

/** Standard loads are those from 0.1 A to 8000 A. */
const LOWEST_A = 0.1;
const HIGHEST_A = 8000;

/** Volts of a cell by which the resistance of a standard load is fixed, whatever the chemistry. */
const STANDARD_CELL_VOLTS = 3.7;

/** Every standard load, A, in rising order. */
export const STANDARD_LOADS_A: readonly number[] = preferredNumbers(LOWEST_A, HIGHEST_A);

/**
 * Resistance of a standard load for one cell, ohm: 3.7 V / load. A pack of S cells in series sees S times that: the same for every
 * pack of S cells.
 *
 * @param loadA one of the standard loads, A
 */
export const standardOhmPerCell = (loadA: number): number => STANDARD_CELL_VOLTS / loadA;

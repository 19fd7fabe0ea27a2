import { exp } from "../../numerics/library.js";
import { TABLE_INTERVALS } from "./pack-model.js";
import { SHAPE_KNOTS } from "./unknowns.js";

/** Numbers of a model are published to eight digits. */
export const rounded = (value: number): number => Number(value.toPrecision(8));

/** A source that nowhere rises with the charge drawn. */
export function falling(table: Float64Array): number[] {
  let lowest = Number.POSITIVE_INFINITY;
  return Array.from(table, (value) => {
    lowest = Math.min(lowest, value);
    return rounded(lowest);
  });
}

/** The resistances' factor at even shares of the charge, its logarithm linear between the knots. */
export function factorTable(lnFactor: ArrayLike<number>): number[] {
  let k = 0;
  return Array.from({ length: TABLE_INTERVALS + 1 }, (_, n) => {
    const z = n / TABLE_INTERVALS;
    while (k < SHAPE_KNOTS.length - 2 && (SHAPE_KNOTS[k + 1] as number) <= z) k++;
    const [z0, z1] = [SHAPE_KNOTS[k] as number, SHAPE_KNOTS[k + 1] as number];
    const [y0, y1] = [lnFactor[k] as number, lnFactor[k + 1] as number];
    return rounded(exp(y0 + ((y1 - y0) * (z - z0)) / (z1 - z0)));
  });
}

import type { Unit } from "../../units/units.js";
import type { LooseNumber } from "./loose-number.js";

/** A number with its own unit beside it, in the unit of its column; NaN when it is of another quantity. */
export function inUnit({ value, unit }: LooseNumber, wanted: Unit | null): number {
  if (!unit || !wanted) return unit && !wanted ? Number.NaN : value;
  if (unit.dimension !== wanted.dimension) return Number.NaN;
  if (unit.symbol === wanted.symbol) return value;
  const ratio = unit.factor / wanted.factor;
  // A quotient by an integer is rounded once.
  const scaled =
    ratio < 1 && Math.abs(Math.round(1 / ratio) * ratio - 1) < 1e-12 ? value / Math.round(1 / ratio) : value * ratio;
  return unit.shift === wanted.shift ? scaled : scaled + (unit.shift - wanted.shift) / wanted.factor;
}

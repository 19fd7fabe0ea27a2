import type { Figure, PackFacts } from "../../../src/core/model.js";
import { FULL_LOAD_1 } from "../../../src/core/protocol/documents/full-load-1.js";

/**
 * Adapter to protocols of before and after the standard loads. To go when figures carry `load`: `loadOf` is then `figure.load`, and a pack
 * is declared as it is.
 */
const STANDARD_VOLTS_PER_CELL = 3.7;
const { reference } = FULL_LOAD_1.load as { readonly reference?: { readonly rateIt: number } };

/** The standard load of a figure, A; null under the run's own load. */
export function loadOf(figure: Figure & { readonly load?: number | null }, pack: PackFacts): number | null {
  if (figure.load !== undefined) return figure.load;
  if (figure.basis !== "translated" || !reference) return null;
  const { nominal } = FULL_LOAD_1.cells[pack.chemistry];
  return (STANDARD_VOLTS_PER_CELL * reference.rateIt * pack.ratedCapacityMah) / 1000 / nominal;
}

/** The pack with a label that makes its one reference load the standard load of `standardA`. */
export function declaredFor(pack: PackFacts, standardA: number): PackFacts {
  if (!reference) return pack;
  const { nominal } = FULL_LOAD_1.cells[pack.chemistry];
  return { ...pack, ratedCapacityMah: (1000 * standardA * nominal) / (STANDARD_VOLTS_PER_CELL * reference.rateIt) };
}

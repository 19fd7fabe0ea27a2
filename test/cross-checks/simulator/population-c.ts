import type { Chemistry } from "../../../src/core/model.js";
import { FORMULA_CURVES } from "./open-circuit.js";
import type { SimulatedPack } from "./pack.js";
import { drawFractionalPack, type FractionalRanges } from "./population-b.js";
import type { Random } from "./random.js";

const RANGES_C: FractionalRanges = {
  widenSag: 1.2,
  power: [0.03, 0.45],
  relaxedShare: [0.3, 1.8],
  transferShare: [0.05, 0.45],
  bowl: [0, 0.6],
  rise: [0, 1.3],
  hysteresisVolts: [0, 0.012],
  surfaceVolts: [-0.01, 0.035],
};

/** Population C: as B with wider ranges, and open-circuit curves blended of those of A and of B in a random share. */
export function drawPackC(chemistry: Chemistry, random: Random): SimulatedPack {
  const share = random.uniform();
  const formula = FORMULA_CURVES[chemistry];
  return drawFractionalPack(chemistry, random, RANGES_C, (table) => (u) => share * formula(u) + (1 - share) * table(u));
}

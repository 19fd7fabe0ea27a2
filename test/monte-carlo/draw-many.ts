import { type Coverage, coverageOf } from "./coverage.js";
import { type DrawnFigure, drawFigures } from "./draw.js";
import type { Distribution } from "./honest-bench.js";

/** The coverage of every figure over `draws` runs, numbered from `firstSeed`. */
export async function drawMany(draws: number, firstSeed: number, errors: Distribution): Promise<Coverage[]> {
  const drawn: DrawnFigure[] = [];
  for (let i = 0; i < draws; i++) drawn.push(...(await drawFigures(firstSeed + i, errors)));
  return coverageOf(drawn);
}

import type { Chemistry } from "../../../src/core/model.js";
import type { SimulatedPack } from "./pack.js";
import { drawPackA } from "./population-a.js";
import { drawPackB } from "./population-b.js";
import { drawPackC } from "./population-c.js";
import { randomOf } from "./random.js";

export const POPULATIONS = ["A", "B", "C"] as const;
export type Population = (typeof POPULATIONS)[number];

const DRAWS = { A: drawPackA, B: drawPackB, C: drawPackC };

/** The pack of that name in a population: the same name, the same pack. */
export const drawPack = (population: Population, chemistry: Chemistry, name: string): SimulatedPack =>
  DRAWS[population](chemistry, randomOf(`pack ${population} ${chemistry} ${name}`));

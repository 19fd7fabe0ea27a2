import { drawFleet, type JudgedFleet } from "./draw-fleet.js";
import { optionsOf } from "./options.js";

/** What the report shows with these options. */
export async function drawnFleets(...options: readonly string[]): Promise<JudgedFleet[]> {
  const asked = optionsOf(options);
  if (!asked) throw new Error(`no fleet is drawn with ${options.join(" ")}`);
  const fleets: JudgedFleet[] = [];
  for (const population of asked.populations) fleets.push(await drawFleet(population, asked));
  return fleets;
}

import { beforeAll } from "@jest/globals";
import { CHEMISTRIES } from "../../src/core/model.js";
import type { JudgedFleet } from "./draw-fleet.js";
import { drawnFleets } from "./drawn-fleets.js";
import { holdExactOwnLoadGoals } from "./exact-own-load-goals.js";
import { holdTranslatedGoals } from "./translated-goals.js";

const RUNS = Number(process.env.MONTE_CARLO_RUNS ?? 6);

let fleets: JudgedFleet[] = [];
beforeAll(async () => {
  fleets = await drawnFleets("--runs", String(RUNS), "--seed", "goals");
}, 600_000);

// The same runs show both.
holdExactOwnLoadGoals(RUNS, () => fleets);
for (const chemistry of CHEMISTRIES) holdTranslatedGoals(chemistry, RUNS, () => fleets);

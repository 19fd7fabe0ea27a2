import { setTimeout as delay } from "node:timers/promises";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";

/** How long each piece takes on its way, ms: as over a poor line, another continent, and a disk that hardly answers. */
const DELAYS_MS = [25, 100, 300];
const FOR_MS = 40_000;

/** Everything that goes to the database and comes from it takes longer. */
export const slowDatabase: Scenario = {
  name: "slow-database",
  run({ say }) {
    return trial({}, async ({ way }) => {
      for (const delayMs of DELAYS_MS) {
        way.delayMs = delayMs;
        await delay(FOR_MS);
        say(`${delayMs} ms in either direction`);
      }
      way.restore();
      return { done: `${DELAYS_MS.join(", ")} ms more in either direction, ${FOR_MS / 1_000} s each` };
    });
  },
};

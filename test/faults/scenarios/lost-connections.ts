import { setTimeout as delay } from "node:timers/promises";
import { createRandom } from "../../../seed/simulator/random.js";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";

const CUTS = 40;
const SILENCES = 3;
const ABSENCES = 2;
/** How long nobody can reach the database, ms. */
const AWAY_MS = 15_000;
/** Longer than it takes to notice that a connection is silent. */
const NOTICED_MS = 30_000;

/** All connections to the database are cut, go silent without being closed, or nobody can reach it for a while. */
export const lostConnections: Scenario = {
  name: "lost-connections",
  run({ seed, say }) {
    return trial({}, async ({ way }) => {
      const random = createRandom(seed);
      for (let cut = 0; cut < CUTS; cut++) {
        await delay(random.between(20, 1_500));
        way.cut();
      }
      say(`all connections cut ${CUTS} times`);
      for (let silence = 0; silence < SILENCES; silence++) {
        await delay(random.between(1_000, 4_000));
        way.silence();
        await delay(NOTICED_MS);
      }
      say(`all connections silent ${SILENCES} times`);
      for (let absence = 0; absence < ABSENCES; absence++) {
        way.goAway();
        await delay(AWAY_MS);
        way.restore();
        await delay(NOTICED_MS);
      }
      const away = `nobody answers for ${AWAY_MS / 1_000} s ${ABSENCES} times`;
      return { done: `all connections cut ${CUTS} times, silent ${SILENCES} times, ${away}` };
    });
  },
};

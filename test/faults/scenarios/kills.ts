import { runKills } from "../../durability/run-kills.js";
import { checkRecord, type RecordFaults } from "../check-record.js";
import { Crowd, SETUP_TOKEN } from "../crowd.js";
import type { Scenario } from "../scenario.js";
import { outcomeOf } from "../trial.js";
import { MIGRATION_SHARE } from "./killed-migrations.js";

/** Service, worker, the database as a whole, its first process or one of its connections are killed at random instants. */
export const kills: Scenario = {
  name: "kills",
  async run({ kills: all, seed, say }) {
    const wanted = all - Math.round(all * MIGRATION_SHARE);
    let crowd: Crowd | undefined;
    let record: RecordFaults | undefined;
    const settings = { SETUP_TOKEN, LIMIT_ADDRESS: "1000000", LIMIT_ACCOUNT: "1000000", LIMIT_UPLOADS: "1000000" };
    const summary = await runKills({
      kills: wanted,
      seed,
      settings,
      clients: (url) => {
        crowd = new Crowd(url);
        return crowd;
      },
      inspect: async (connectionString) => {
        record = await checkRecord(connectionString, crowd?.acknowledged ?? []);
      },
      onProgress: ({ kills, acknowledged }) => {
        if (kills % 50 === 0) say(`${kills} kills, ${acknowledged} uploads acknowledged`);
      },
    });
    if (!crowd || !record) throw new Error("the record was not looked at");
    const by = Object.entries(summary.killsByTarget).map(([target, times]) => `${target} ${times}`);
    const ended = summary.endedByThemselves;
    return outcomeOf(crowd, record, {
      done: `kill -9 of ${by.join(", ")}; ready again after ${summary.startSeconds.median.toFixed(1)} s, at most ${summary.startSeconds.longest.toFixed(1)} s`,
      kills: wanted,
      others: ended > 0 ? [`${ended} times a program ended by itself`] : [],
    });
  },
};

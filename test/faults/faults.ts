import { parseArgs } from "node:util";
import { exitCodeOf, faultsOf, type Outcome, type Scenario } from "./scenario.js";
import { clockSteps } from "./scenarios/clock-steps.js";
import { deadlyLog } from "./scenarios/deadly-log.js";
import { fullDisk } from "./scenarios/full-disk.js";
import { killedMigrations } from "./scenarios/killed-migrations.js";
import { kills } from "./scenarios/kills.js";
import { lostConnections } from "./scenarios/lost-connections.js";
import { replicaLag } from "./scenarios/replica-lag.js";
import { slowDatabase } from "./scenarios/slow-database.js";
import { twoVersions } from "./scenarios/two-versions.js";

const SCENARIOS: readonly Scenario[] = [
  kills,
  killedMigrations,
  fullDisk,
  lostConnections,
  slowDatabase,
  clockSteps,
  deadlyLog,
  twoVersions,
  replicaLag,
];

const { values } = parseArgs({
  options: {
    kills: { type: "string", default: "1000" },
    seed: { type: "string", default: "1" },
    only: { type: "string", multiple: true },
    "allow-not-tried": { type: "boolean", default: false },
  },
});
const chosen = SCENARIOS.filter(({ name }) => values.only?.includes(name) ?? true);
if (chosen.length < (values.only?.length ?? 1)) {
  throw new Error(`--only is one of ${SCENARIOS.map(({ name }) => name).join(", ")}, and may be given more than once`);
}

const outcomes: Outcome[] = [];
const notTried: string[] = [];
for (const { name, run } of chosen) {
  console.log(name);
  const begun = performance.now();
  const say = (line: string) => console.log(`  ${line}`);
  const outcome = await run({ kills: Number(values.kills), seed: Number(values.seed), say });
  if (!outcome) {
    notTried.push(name);
    console.log("  not tried");
    continue;
  }
  outcomes.push(outcome);
  const { done, uploads, standings, longestSeconds } = outcome;
  const seconds = Math.round((performance.now() - begun) / 1_000);
  say(`${done}; ${seconds} s`);
  say(
    `${uploads} uploads acknowledged, ${standings} standings compared, longest answer ${longestSeconds.toFixed(1)} s`,
  );
  for (const fault of faultsOf(outcome)) console.error(`  fault: ${fault}`);
}

const sum = (of: (outcome: Outcome) => number) => String(outcomes.reduce((total, one) => total + of(one), 0));
console.log(`
scenarios                    ${outcomes.length}, ${notTried.length} not tried
kills                        ${sum(({ kills }) => kills)}
uploads acknowledged         ${sum(({ uploads }) => uploads)}
standings compared           ${sum(({ standings }) => standings)}
lost uploads                 ${sum(({ lost }) => lost.length)}
evaluated twice              ${sum(({ evaluatedTwice }) => evaluatedTwice.length)}
wrong standings              ${sum(({ wrongStandings }) => wrongStandings.length)}
unanswered beyond their time ${sum(({ unanswered }) => unanswered.length)}
other faults                 ${sum(({ others }) => others.length)}`);
process.exitCode = exitCodeOf([...outcomes, ...notTried.map(() => null)], { mayLeaveOut: values["allow-not-tried"] });
if (process.exitCode === 2) {
  console.error(
    `not tried: ${notTried.join(", ")}; what is missing stands above. --allow-not-tried passes without them`,
  );
}

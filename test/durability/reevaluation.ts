import { parseArgs } from "node:util";
import { NEXT, PLACES, runReevaluation } from "./run-reevaluation.js";

const { values } = parseArgs({
  options: { runs: { type: "string", default: "1000" }, kills: { type: "string", default: "1" } },
});

const kills = { evaluating: Number(values.kills), places: PLACES };
const summary = await runReevaluation(Number(values.runs), kills, console.log);
const { ranked, revoked, seconds } = summary;
const whole = (value: number) => `${Math.round(value)} s`;
console.log(`runs                  ${summary.runs}`);
console.log(
  `kills                 ${summary.kills} (done at each, and after the new start: ${JSON.stringify(summary.doneAtKills)})`,
);
for (const [place, version] of summary.versionsAtPlaces) {
  console.log(`                      and while ${place}, when version ${version} counted`);
}
console.log(`rankings read         ${ranked.before} as before, ${ranked.after} as after, ${ranked.mixed} mixed`);
console.log(`evaluated otherwise   ${summary.evaluatedOtherwise}`);
console.log(`not switched          ${summary.notSwitched}`);
console.log(`revoked               ${revoked[0]}, of ${revoked[1]} foretold`);
console.log(
  `effects as foretold   ${summary.effectsAsForetold ? "yes" : "no"} (${summary.standingsChanged} standings changed)`,
);
console.log(`jobs left             ${summary.jobsLeft}`);
console.log(
  `dry run ${whole(seconds.dryRun)}, re-evaluation ${whole(seconds.reevaluation)}, all ${whole(seconds.all)}`,
);
const { evaluatedOtherwise, notSwitched, jobsLeft, effectsAsForetold, versionsAtPlaces } = summary;
const switchedEarly = versionsAtPlaces.filter(([, version]) => version !== NEXT.version - 1).length;
const isClean =
  ranked.mixed + evaluatedOtherwise + notSwitched + jobsLeft + switchedEarly === 0 &&
  effectsAsForetold &&
  revoked[0] === revoked[1];
process.exitCode = isClean ? 0 : 1;

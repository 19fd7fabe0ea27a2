import { parseArgs } from "node:util";
import { runKills } from "./run-kills.js";

const { values } = parseArgs({
  options: { kills: { type: "string", default: "200" }, seed: { type: "string", default: "1" } },
});

const summary = await runKills({
  kills: Number(values.kills),
  seed: Number(values.seed),
  onProgress: ({ kills, acknowledged }) => {
    if (kills % 10 === 0) console.log(`${kills} kills, ${acknowledged} uploads acknowledged`);
  },
});
console.log(`kills              ${summary.kills} (${inWords(summary.killsByTarget)})`);
console.log(`uploads            ${summary.acknowledged} acknowledged, of ${summary.offered} offered`);
console.log(`answers            ${inWords(summary.answers)}`);
console.log(`starts             ${inWords(summary.startSeconds)} s`);
console.log(`lost               ${summary.lost.length}`);
console.log(`bytes differ       ${summary.changed.length}`);
console.log(`not evaluated      ${summary.unfinished.length}`);
console.log(`evaluated twice    ${summary.evaluatedTwice.length}`);
console.log(`answered 500       ${summary.serverErrors}`);
console.log(`ended by itself    ${summary.endedByThemselves}`);
console.log(`jobs left          ${summary.jobsLeft}`);
if (summary.logs) console.log(`logs kept in       ${summary.logs}`);
console.log(`seed ${values.seed}, ${Math.round(summary.seconds)} s`);
const faults = [summary.lost, summary.changed, summary.unfinished, summary.evaluatedTwice].flat();
for (const fault of faults) console.error(`fault: ${fault}`);
process.exitCode = faults.length + summary.jobsLeft + summary.serverErrors + summary.endedByThemselves === 0 ? 0 : 1;

function inWords(counts: Readonly<Record<string, number>>): string {
  return Object.entries(counts)
    .map(([target, count]) => `${target} ${Number(count.toFixed(1))}`)
    .join(", ");
}

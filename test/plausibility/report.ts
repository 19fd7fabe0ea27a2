import { judge } from "./judge.js";

/** Prints what the rules of plausibility say of honest logs: `npm run honest-logs -- [LOGS]`. */
const [logs = "510"] = process.argv.slice(2);
if (!(Number(logs) >= 1)) throw new Error("usage: honest-logs [LOGS]");

const judged = await judge(Number(logs));
console.log("| rule | pass | fail | not assessable |");
console.log("|---|---|---|---|");
for (const [rule, counts] of Object.entries(judged.outcomes))
  console.log(`| ${rule} | ${counts.pass} | ${counts.fail} | ${counts["not-assessable"]} |`);
console.log(`\n${judged.logs} honest logs, ${judged.accused.length} findings against them`);
for (const one of judged.accused) console.log(one);
console.log(`${judged.computed} of them as formulas, ${judged.undetected.length} not found out by noise-floor`);
for (const one of judged.undetected) console.log(one);

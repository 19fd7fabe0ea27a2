import { judged, namesIn } from "./judge.js";

/** Prints every file of the corpus with what it is told: `npm run corpus:report`. */
const folder = process.argv[2];
if (folder === undefined) throw new Error("Name the folder of the corpus, such as test/corpus/not-conforming");
let differing = 0;
for (const name of namesIn(folder)) {
  const { shows, protocol, verdict, failed } = await judged(folder, name);
  const rules = failed.map(({ rule }) => rule).sort();
  const isAsNamed = rules.join("+") === name.split("+").sort().join("+");
  if (!isAsNamed) differing++;
  console.log(`${isAsNamed ? "ok " : "NOT"} ${name}\n      ${protocol}, ${verdict}: ${shows}`);
  for (const { rule, severity, message } of failed) console.log(`      ${rule} (${severity}): ${message}`);
}
console.log(`${differing} of ${namesIn(folder).length} files fail other rules than their names say`);
if (differing > 0) process.exitCode = 1;

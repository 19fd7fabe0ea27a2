import { drawMany } from "./draw-many.js";
import { DISTRIBUTIONS } from "./honest-bench.js";

/** Prints how often the true value of each figure lies within 2 u: `npm run monte-carlo -- [DRAWS] [FIRST_SEED] [DISTRIBUTION]`. */
const [draws = "1000", firstSeed = "1", distribution = "normal"] = process.argv.slice(2);
const errors = DISTRIBUTIONS.find((known) => known === distribution);
const [count, first] = [Number(draws), Number(firstSeed)];
if (!errors || !(count >= 1) || !(first >= 1)) {
  throw new Error(`usage: monte-carlo [DRAWS] [FIRST_SEED] [${DISTRIBUTIONS.join("|")}]`);
}

console.log("| figure | draws | within 2 u | u | mean error / u | rms error / u |");
console.log("|---|---|---|---|---|---|");
for (const { figure, draws, within2u, relativeU, meanErrorOverU, rmsErrorOverU } of await drawMany(
  count,
  first,
  errors,
)) {
  const cells = [
    figure,
    draws,
    `${(100 * within2u).toFixed(1)} %`,
    `${(100 * relativeU).toFixed(2)} %`,
    meanErrorOverU.toFixed(2),
    rmsErrorOverU.toFixed(2),
  ];
  console.log(`| ${cells.join(" | ")} |`);
}

/**
 * Hides copies of simulated runs in every way of `DISGUISES`, by kind of load (10 benches each; another number as the first argument), and
 * prints how many are found by the index, and how many by comparing the two runs, as is done with runs of the same pack. Then holds
 * honest repeats (4; the second argument) on one bench with one pack against each other, and fails when one of them is called a copy.
 * `pairs` as the third argument leaves the copies out.
 */
import { compareCourses } from "../src/core/copies/course-alignment.js";
import { copyEvidence, isSameMeasurement, WITHOUT_HINT } from "../src/core/copies/evidence.js";
import { hashesToIndex, hashesToQuery } from "../src/core/copies/hashes.js";
import { sharedLags } from "../src/core/copies/shared-lags.js";
import { DISGUISES } from "../test/support/copies/alterations.js";
import { MOVING_LOADS, type MovingLoadName, movingLoadTrace } from "../test/support/copies/moving-loads.js";

const BENCHES = Number(process.argv[2] ?? 10);
const REPEATS = Number(process.argv[3] ?? 4);
const loads = Object.keys(MOVING_LOADS) as MovingLoadName[];
const benches = Array.from({ length: BENCHES }, (_, bench) => bench);

const disguises = Object.entries(DISGUISES).filter(() => process.argv[4] !== "pairs");

console.log(`found by the index / by comparison, of ${BENCHES}`);
console.log(["".padEnd(48), ...loads].join(" | "));
const originals = new Map(
  loads.map((load) => [load, benches.map((bench) => movingLoadTrace({ load, bench, run: 0 }))]),
);
const indexed = new Map(loads.map((load) => [load, originals.get(load)?.map((trace) => hashesToIndex(trace)) ?? []]));
for (const [name, disguise] of disguises) {
  const cells = loads.map((load) => {
    let [byIndex, byComparison] = [0, 0];
    for (const [bench, original] of (originals.get(load) ?? []).entries()) {
      const copy = disguise(original, bench);
      const hashes = indexed.get(load)?.[bench];
      const lags = hashes ? sharedLags(hashes, hashesToQuery(copy)) : [];
      if (copyEvidence(original, copy, lags).length > 0) byIndex++;
      if (copyEvidence(original, copy, [...lags, WITHOUT_HINT]).length > 0) byComparison++;
    }
    return `${byIndex} / ${byComparison}`;
  });
  console.log([name.padEnd(48), ...cells].join(" | "));
}

let [pairs, alarms, highest] = [0, 0, 0];
const scores: number[] = [];
for (const load of loads) {
  for (const bench of benches) {
    const runs = Array.from({ length: REPEATS }, (_, run) => movingLoadTrace({ load, bench, run }));
    for (const [i, one] of runs.entries()) {
      for (const other of runs.slice(i + 1)) {
        const agreement = compareCourses(one, other, WITHOUT_HINT);
        if (!agreement) continue;
        pairs++;
        scores.push(agreement.score);
        highest = Math.max(highest, agreement.score);
        if (isSameMeasurement(agreement)) alarms++;
      }
    }
  }
}
const sorted = scores.toSorted((a, b) => a - b);
const quantile = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]?.toFixed(2);
console.log(
  `honest pairs ${pairs}: ${alarms} called copies; scores median ${quantile(0.5)}, 99 % ${quantile(0.99)}, highest ${highest.toFixed(2)}`,
);
if (alarms > 0) process.exitCode = 1;

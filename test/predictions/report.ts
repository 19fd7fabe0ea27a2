import { parseArgs } from "node:util";
import { POPULATIONS, type Population } from "../cross-checks/simulator/populations.js";
import { goalsOf } from "./goals.js";
import { type Judged, judgePack } from "./judge-pack.js";
import { THREE_TESTERS } from "./pooled-pack.js";

const { values } = parseArgs({
  options: { packs: { type: "string", default: "20" }, population: { type: "string", multiple: true } },
});
const populations = (values.population ?? POPULATIONS) as Population[];
let missed = 0;
for (const population of populations) {
  const judged: Judged[] = [];
  for (const chemistry of ["lipo", "lihv", "liion", "lifepo4"] as const) {
    for (let n = 0; n < Number(values.packs); n++)
      judged.push(...judgePack(population, chemistry, `p${n}`, THREE_TESTERS));
  }
  for (const { name, reached, wanted, isMet } of goalsOf(judged)) {
    if (!isMet) missed++;
    console.info(
      `${population}  ${name.padEnd(48)} ${(100 * reached).toFixed(1)} % of ${100 * wanted} %${isMet ? "" : "  MISSED"}`,
    );
  }
  for (const subject of ["mean", "unknown-specimen", "own-specimen"] as const) {
    const rms = (off: readonly number[]) =>
      Math.sqrt(off.reduce((sum, one) => sum + one ** 2, 0) / off.length).toFixed(2);
    for (const use of ["steady", "gentler", "harder"] as const) {
      const of = judged.filter((one) => one.subject === subject && one.use === use);
      const times = of.filter(({ isLowerBound }) => !isLowerBound).map(({ timePercent }) => timePercent);
      const mean = times.reduce((sum, one) => sum + one, 0) / times.length;
      console.info(
        `${population}  ${subject}, ${use} power, rms: voltage ${rms(of.flatMap((one) => one.voltagePercent))} %, time ${rms(times)} % (mean ${mean.toFixed(2)} %), temperature ${rms(of.map((one) => one.temperatureK))} K`,
      );
    }
  }
}
if (missed > 0) process.exitCode = 1;

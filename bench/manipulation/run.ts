/**
 * Runs the simulation on each population, one after the other. The arguments are the number of communities of each size, 20 when left
 * out, and the name of the only population to run. It fails when a goal is missed on any of them.
 */
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { POPULATIONS } from "./population.js";

const [count = "20", only] = process.argv.slice(2);
const simulation = fileURLToPath(new URL("manipulation.js", import.meta.url));
for (const { name } of POPULATIONS.filter((one) => only === undefined || one.name === only)) {
  const { status } = spawnSync(process.execPath, [simulation, count, name], { stdio: "inherit" });
  if (status !== 0) process.exitCode = 1;
}

import { execFile } from "node:child_process";
import { promisify } from "node:util";
import type { Coverage } from "./coverage.js";
import type { Distribution } from "./honest-bench.js";

const run = promisify(execFile);
const REPORT = "dist/test/monte-carlo/report.js";

/** The coverage of every figure over `draws` runs, drawn in a process of its own: within a test's sandbox it takes five times as long. */
export async function coverageInProcess(draws: number, firstSeed: number, errors: Distribution): Promise<Coverage[]> {
  const { stdout } = await run(process.execPath, [REPORT, String(draws), String(firstSeed), errors, "json"]);
  return JSON.parse(stdout) as Coverage[];
}

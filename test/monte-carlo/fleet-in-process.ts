import { execFile } from "node:child_process";
import { promisify } from "node:util";
import type { JudgedFleet } from "./draw-fleet.js";

const REPORT = "dist/test/monte-carlo/report.js";
const MAX_OUTPUT_BYTES = 2 ** 28;

/** What the report would show, drawn in a process of its own, which computes beside other tests. */
export async function fleetInProcess(...options: readonly string[]): Promise<JudgedFleet[]> {
  const { stdout } = await promisify(execFile)(process.execPath, [REPORT, ...options, "--json"], {
    maxBuffer: MAX_OUTPUT_BYTES,
  });
  return JSON.parse(stdout) as JudgedFleet[];
}

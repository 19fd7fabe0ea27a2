import { type DescribedRun, describedRun } from "../../core/inputs/described-run.js";
import { UsageError } from "../usage-error.js";

/**
 * Reads what a run file declares, by the same rules as the service.
 *
 * @throws UsageError that lists every problem
 */
export function runOfFile(declared: Readonly<Record<string, unknown>>): DescribedRun {
  // What an upload needs beside: ids and labels of what the service knows.
  const { specimen: _, specimenId: __, benchId: ___, ...described } = declared;
  if (![described.pack, described.bench].some(isObject)) {
    throw new UsageError("A check needs no server, so the run file must describe `pack` and `bench` as objects.");
  }
  const run = describedRun(described);
  if (!("errors" in run)) return run;
  const problems = run.errors.map(({ pointer = "", message }) => `${pointer.slice(1)} ${message}`);
  throw new UsageError(`The run file cannot be used: ${problems.join("; ")}`);
}

const isObject = (value: unknown): boolean => typeof value === "object" && value !== null;

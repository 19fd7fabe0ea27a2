import type { InputError } from "../../../core/inputs/input-error.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { MAX_RUNS } from "./batch-upload.js";
import { cleanName } from "./received-log.js";

/** One run of a manifest; what it declares is not yet checked. */
export interface BatchEntry {
  readonly file: string;
  readonly run: object;
}

/**
 * The runs of a manifest `{runs: [{file, ...a run}]}`.
 *
 * @throws Problem `invalid-input` when it is not of this form; faults inside a run are that run's own
 */
export function entriesOf(manifest: object): BatchEntry[] {
  const { runs, ...others } = manifest as { runs?: unknown };
  const faults: InputError[] = Object.keys(others).map((name) => ({
    pointer: `/manifest/${name.slice(0, 60).replaceAll("~", "~0").replaceAll("/", "~1")}`,
    message: "is not known here",
  }));
  if (!Array.isArray(runs) || runs.length === 0 || runs.length > MAX_RUNS) {
    faults.push({ pointer: "/manifest/runs", message: `must be a list of 1 to ${MAX_RUNS} runs` });
    throw invalidInput(faults);
  }
  const entries = runs.map((entry: unknown, index): BatchEntry => {
    const { file, ...run } = isObject(entry) ? entry : {};
    if (typeof file !== "string" || file.trim() === "") {
      faults.push({ pointer: `/manifest/runs/${index}/file`, message: "must be the file name of a part `log`" });
    }
    return { file: cleanName(String(file)), run };
  });
  if (faults.length > 0) throw invalidInput(faults);
  return entries;
}

function isObject(value: unknown): value is { file?: unknown } {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

import { Problem } from "../../problems/problem.js";
import { Slots } from "../../process/slots.js";

/** About the most bytes of one answer. */
const MAX_BYTES = 4 * 1024 * 1024;
/** Fields at the root that are resolved at the same time: each may hold a connection to the database. */
const ROOT_FIELDS_AT_ONCE = 3;

/** What one operation may still use. Once it is stopped, nothing more of it is resolved. */
export class OperationBudget {
  readonly rootFields = new Slots(ROOT_FIELDS_AT_ONCE);
  private bytesLeft = MAX_BYTES;
  private stopped: Problem | null = null;

  /** Why it was stopped, or null. */
  get problem(): Problem | null {
    return this.stopped;
  }

  stop(problem: Problem): void {
    this.stopped ??= problem;
  }

  /** @throws Problem with which it was stopped */
  check(): void {
    if (this.stopped) throw this.stopped;
  }

  /** Counts a value of the answer under its name. */
  spend(name: string, value: unknown): void {
    this.bytesLeft -= name.length + 4 + bytesOf(value);
    if (this.bytesLeft >= 0) return;
    this.stop(
      new Problem(
        "answer-too-large",
        `An answer may have at most ${MAX_BYTES / 1024 / 1024} MiB. Ask for less at once.`,
      ),
    );
    this.check();
  }
}

/** About how many bytes of JSON a value takes. */
function bytesOf(value: unknown): number {
  if (typeof value === "string") return value.length + 2;
  if (typeof value !== "object" || value === null) return 8;
  if (value instanceof Date) return 26;
  if (!Array.isArray(value)) return JSON.stringify(value)?.length ?? 4;
  return typeof value[0] === "number" ? value.length * 8 : value.reduce((sum, item) => sum + bytesOf(item) + 1, 2);
}

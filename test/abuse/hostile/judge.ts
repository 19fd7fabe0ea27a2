import { PROBLEMS } from "../../../src/platform/problems/catalogue.js";
import type { Outcome } from "./attack.js";

/** The service stays below, and so does its worker. */
export const MAX_MEBIBYTES = 512;
/** Another reader's p99 stays below this, or below so many times what it is while nobody attacks: the machine may be busy. */
const MAX_READER_MS = 1_000;
const MAX_READER_RATIO = 5;

/** A transfer coding that is not known may be answered so (RFC 9112, 6.1). */
const UNKNOWN_CODING = "501";

/** What an attack came to. */
export interface Measured extends Outcome {
  /** Most memory that the service or its worker held; null when the service has ended. */
  readonly peakMebibytes: number | null;
  /** Within which 99 % of another reader's answers came, ms. */
  readonly readerMs: number;
}

/** Below which another reader's p99 stays, given what it is while nobody attacks, ms. */
export function readerBoundMs(idleMs: number): number {
  return Math.max(MAX_READER_MS, MAX_READER_RATIO * idleMs);
}

/** Answers of 500 and above that no problem declares. */
export function undeclaredFaults({ answers }: Outcome): string[] {
  return Object.keys(answers).filter((answer) => {
    const [, code] = /\b503 ([a-z-]+)/.exec(answer) ?? [];
    if (code !== undefined && (PROBLEMS as Record<string, { status: number }>)[code]?.status !== 503) return true;
    return (answer.match(/\b5\d\d\b/g) ?? []).some((status) => status !== "503" && status !== UNKNOWN_CODING);
  });
}

/** What an attack has shown to be wrong, in words. */
export function faultsOf(measured: Measured, boundMs: number): string[] {
  const { peakMebibytes, readerMs } = measured;
  const faults = undeclaredFaults(measured).map((answer) => `it answered ${answer}`);
  if (peakMebibytes === null) faults.push("it ended");
  else if (peakMebibytes >= MAX_MEBIBYTES) faults.push(`it held ${peakMebibytes.toFixed(0)} MiB`);
  if (!(readerMs < boundMs))
    faults.push(`another reader's p99 was ${readerMs.toFixed(0)} ms of ${boundMs.toFixed(0)} ms`);
  return faults;
}

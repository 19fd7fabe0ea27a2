import type { Agreement } from "../../core/copies/alignment.js";
import { type CandidateLag, copyEvidence } from "../../core/copies/evidence.js";
import { type CopyWords, wordsToKeep, wordsToSeek } from "../../core/copies/words.js";
import { decodeTrace } from "../../core/trace/encode.js";

export interface EncodedTrace {
  readonly encoding: string;
  readonly data: Uint8Array;
}

export interface WordsOfTrace {
  readonly keep: CopyWords;
  readonly seek: CopyWords;
}

/** The words of a stored trace, to be kept and to be sought. */
export function makeWords({ encoding, data }: EncodedTrace): WordsOfTrace {
  const trace = decodeTrace(encoding, data);
  return { keep: wordsToKeep(trace), seek: wordsToSeek(trace) };
}

export interface ComparisonTask {
  readonly later: EncodedTrace;
  readonly earlier: EncodedTrace;
  /** Time in the later run less time in the earlier one. */
  readonly lags: readonly CandidateLag[];
}

/** What shows two stored traces to be one measurement; lags and gains are those of the later against the earlier one. */
export function compareRuns({ later, earlier, lags }: ComparisonTask): Agreement[] {
  return copyEvidence(decodeTrace(later.encoding, later.data), decodeTrace(earlier.encoding, earlier.data), lags);
}

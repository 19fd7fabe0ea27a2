import type { Agreement } from "../../core/copies/alignment.js";
import { copyEvidence } from "../../core/copies/evidence.js";
import { sharedLags } from "../../core/copies/shared-lags.js";
import { type CopyWords, wordsToKeep, wordsToSeek } from "../../core/copies/words.js";
import type { Trace } from "../../core/model.js";
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
  /** The run that is checked, and the words it seeks. */
  readonly own: EncodedTrace;
  readonly seek: CopyWords;
  readonly other: EncodedTrace;
  readonly ownIsLater: boolean;
}

/** What shows two stored traces to be one measurement; lags and gains are those of the later against the earlier one. */
export function compareRuns({ own, seek, other, ownIsLater }: ComparisonTask): Agreement[] {
  const [ownTrace, otherTrace] = [own, other].map(({ encoding, data }) => decodeTrace(encoding, data)) as [
    Trace,
    Trace,
  ];
  const lags = sharedLags(wordsToKeep(otherTrace), seek);
  return ownIsLater
    ? copyEvidence(
        ownTrace,
        otherTrace,
        lags.map(({ lagS, withinS }) => ({ lagS: -lagS, withinS })),
      )
    : copyEvidence(otherTrace, ownTrace, lags);
}

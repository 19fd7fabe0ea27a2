import { copyEvidence } from "../../../src/core/copies/evidence.js";
import { secondsPerPoint, wordsToSeek } from "../../../src/core/copies/words.js";
import type { Trace } from "../../../src/core/model.js";
import { type CopiesRepository, LAG_POINTS } from "../../../src/features/copies/copies.repository.js";
import { honestRun, indexOfRun } from "./filled-record.js";
import { honestTrace } from "./honest-traces.js";

export interface Search {
  /** Places in the record of the runs that were found to be the same measurement. */
  readonly found: readonly number[];
  readonly candidates: number;
  /** Time that the database took to name the candidates, ms, and the whole search. */
  readonly lookupMs: number;
  readonly searchMs: number;
}

/** Seeks the runs of a filled record that a trace is a copy of, as the service does for a run of its own. */
export async function searchRecord(copies: CopiesRepository, trace: Trace): Promise<Search> {
  const begun = performance.now();
  const seek = wordsToSeek(trace);
  const asked = performance.now();
  const rows = await copies.candidates(0, seek);
  const lookupMs = performance.now() - asked;
  const candidates = Map.groupBy(rows, ({ runId }) => indexOfRun(runId));
  const found = [...candidates].filter(([index, lags]) => {
    const other = honestTrace(honestRun(index));
    const ranges = lags.map(({ kind, lagPoints }) => ({
      lagS: -lagPoints * secondsPerPoint(kind),
      withinS: LAG_POINTS * secondsPerPoint(kind),
    }));
    return copyEvidence(trace, other, ranges).length > 0;
  });
  return {
    found: found.map(([index]) => index),
    candidates: candidates.size,
    lookupMs,
    searchMs: performance.now() - begun,
  };
}

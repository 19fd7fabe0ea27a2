import { copyEvidence } from "../../../src/core/copies/evidence.js";
import { hashesToIndex, hashesToQuery } from "../../../src/core/copies/hashes.js";
import { sharedLags } from "../../../src/core/copies/shared-lags.js";
import { sortedByHash } from "../../../src/core/copies/sorted-hashes.js";
import type { Trace } from "../../../src/core/model.js";
import type { CopiesRepository } from "../../../src/features/copies/copies.repository.js";
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
  const query = hashesToQuery(trace);
  const asked = performance.now();
  const candidates = (await copies.candidates(0, sortedByHash(query))).map(({ runId }) => indexOfRun(runId));
  const lookupMs = performance.now() - asked;
  const found = candidates.filter((index) => {
    const other = honestTrace(honestRun(index));
    const lags = sharedLags(hashesToIndex(other), query);
    return copyEvidence(other, trace, lags).length > 0;
  });
  return { found, candidates: candidates.length, lookupMs, searchMs: performance.now() - begun };
}

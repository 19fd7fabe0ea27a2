import { LRUCache } from "lru-cache";
import type { Agreement } from "../../core/copies/alignment.js";
import type { CandidateLag } from "../../core/copies/candidate-lag.js";
import { type Candidate, isSignificant } from "../../core/copies/candidates.js";
import { copyEvidence, WITHOUT_HINT } from "../../core/copies/evidence.js";
import { type CopyHashes, hashesToIndex, hashesToQuery } from "../../core/copies/hashes.js";
import { sharedLags } from "../../core/copies/shared-lags.js";
import { sortedByHash } from "../../core/copies/sorted-hashes.js";
import { windowsOf } from "../../core/copies/windows.js";
import type { Trace } from "../../core/model.js";
import { decodeTrace } from "../../core/trace/encode.js";

export interface EncodedTrace {
  /** Of the evaluation that it is of: the same trace for ever. */
  readonly evaluationId: string;
  readonly encoding: string;
  readonly data: Uint8Array;
}

/** Samples that are kept in a thread, of the traces that were compared last: 32 bytes each. */
const KEPT_SAMPLES = 100_000;
/** The hashes of so many runs, some kilobytes each, are kept: those that are compared with one after the other. */
const KEPT_HASHES = 1_000;

const traces = new LRUCache<string, Trace>({
  maxSize: KEPT_SAMPLES,
  sizeCalculation: ({ time }) => Math.max(1, time.length),
});
const indexed = new LRUCache<string, CopyHashes>({ max: KEPT_HASHES });

function traceOf({ evaluationId, encoding, data }: EncodedTrace): Trace {
  const trace = traces.get(evaluationId) ?? decodeTrace(encoding, data);
  traces.set(evaluationId, trace);
  return trace;
}

function hashesOf(one: EncodedTrace): CopyHashes {
  const hashes = indexed.get(one.evaluationId) ?? hashesToIndex(traceOf(one));
  indexed.set(one.evaluationId, hashes);
  return hashes;
}

/** Those of samples take most of the time, and are left out where none of them are shared. */
const hashesSharedBy = (other: EncodedTrace, { bySamples }: Candidate): CopyHashes =>
  bySamples > 0 ? hashesOf(other) : hashesToIndex(traceOf(other), []);

export interface HashesOfTrace {
  readonly index: CopyHashes;
  readonly query: CopyHashes;
  /** The latter in the order in which they are looked up. */
  readonly sortedQuery: CopyHashes;
}

/** The hashes of a stored trace, to index and to query. */
export function makeHashes(own: EncodedTrace): HashesOfTrace {
  const trace = traceOf(own);
  const windows = windowsOf(trace);
  const index = hashesToIndex(trace, windows);
  indexed.set(own.evaluationId, index);
  const query = hashesToQuery(trace, windows);
  return { index, query, sortedQuery: sortedByHash(query) };
}

export interface ComparisonTask {
  /** The run that is checked, and its hashes to query. */
  readonly runId: string;
  readonly own: EncodedTrace;
  readonly query: CopyHashes;
  /** The runs that it is compared with, and why. */
  readonly others: readonly (EncodedTrace & { readonly runId: string; readonly hint: Hint })[];
}

/** Why two runs are compared. */
export interface Hint {
  /** What the index says that they share. */
  readonly shared: Candidate | null;
  /** They are of one pack and took as long: their loads began at the same instant of their traces. */
  readonly alike: boolean;
}

/** What shows a run to be one measurement with another one. */
export interface AgreementsWithRun {
  readonly runId: string;
  readonly agreements: readonly Agreement[];
}

/** The runs that are shown to be one measurement with a run; lags and gains are those of the later against the earlier one. */
export function compareRuns({ runId, own, query, others }: ComparisonTask): AgreementsWithRun[] {
  const ownTrace = traceOf(own);
  return others.flatMap((other) => {
    const otherTrace = traceOf(other);
    const lags = lagsOf(other, query, other.hint);
    const agreements =
      runId > other.runId
        ? copyEvidence(
            ownTrace,
            otherTrace,
            lags.map((lag) => ({ ...lag, lagS: -lag.lagS })),
          )
        : copyEvidence(otherTrace, ownTrace, lags);
    return agreements.length > 0 ? [{ runId: other.runId, agreements }] : [];
  });
}

/** Where the two may be one: at the lags of the hashes that they share, if they do, and where their loads began if that is likely. */
function lagsOf(other: EncodedTrace, query: CopyHashes, { shared, alike }: Hint): CandidateLag[] {
  const lags = shared ? sharedLags(hashesSharedBy(other, shared), query) : [];
  return alike || (shared && isSignificant(shared)) ? [...lags, WITHOUT_HINT] : lags;
}

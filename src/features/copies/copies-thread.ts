import type { Agreement } from "../../core/copies/alignment.js";
import { copyEvidence, WITHOUT_HINT } from "../../core/copies/evidence.js";
import { type CopyHashes, hashesToIndex, hashesToQuery } from "../../core/copies/hashes.js";
import { sharedLags } from "../../core/copies/shared-lags.js";
import type { Trace } from "../../core/model.js";
import { decodeTrace } from "../../core/trace/encode.js";

export interface EncodedTrace {
  readonly encoding: string;
  readonly data: Uint8Array;
}

export interface HashesOfTrace {
  readonly index: CopyHashes;
  readonly query: CopyHashes;
}

/** The hashes of a stored trace, to index and to query. */
export function makeHashes({ encoding, data }: EncodedTrace): HashesOfTrace {
  const trace = decodeTrace(encoding, data);
  return { index: hashesToIndex(trace), query: hashesToQuery(trace) };
}

export interface ComparisonTask {
  /** The run that is checked, and its hashes to query. */
  readonly own: EncodedTrace;
  readonly query: CopyHashes;
  readonly other: EncodedTrace;
  readonly ownIsLater: boolean;
}

/** What shows two stored traces to be one measurement; lags and gains are those of the later against the earlier one. */
export function compareRuns({ own, query, other, ownIsLater }: ComparisonTask): Agreement[] {
  const [ownTrace, otherTrace] = [own, other].map(({ encoding, data }) => decodeTrace(encoding, data)) as [
    Trace,
    Trace,
  ];
  const lags = [...sharedLags(hashesToIndex(otherTrace), query), WITHOUT_HINT];
  return ownIsLater
    ? copyEvidence(
        ownTrace,
        otherTrace,
        lags.map((lag) => ({ ...lag, lagS: -lag.lagS })),
      )
    : copyEvidence(otherTrace, ownTrace, lags);
}

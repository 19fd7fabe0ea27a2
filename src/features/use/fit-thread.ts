import { decodeTrace } from "../../core/trace/encode.js";
import type { PackRun, PooledPack } from "../../core/use/model/pack-run.js";
import { runGrid } from "../../core/use/model/run-grid.js";
import { fitAndValidate, type PackFit, type Validation } from "../../core/use/validate.js";

/** A stored run with its trace, as it goes to a thread. */
export interface StoredPackRun extends Omit<PackRun, "grid"> {
  /** From onset to the end of the load phase, s. */
  readonly durationS: number;
  readonly encoding: string;
  readonly data: Uint8Array;
}

export interface FitTask {
  readonly pack: PooledPack;
  readonly runs: readonly StoredPackRun[];
  /** How the pack's accepted runs agree, where that was found already: to find it takes a fit for each run. */
  readonly validation: Validation | null;
}

/** Fits a pack's model to stored runs; a run without a load that can be cut out of its trace is passed over. */
export function fitStoredRuns({ pack, runs, validation }: FitTask): PackFit {
  const cut = runs.flatMap(({ encoding, data, durationS, ...run }) => {
    const grid = runGrid(decodeTrace(encoding, data), durationS, pack.series);
    return grid ? [{ ...run, grid }] : [];
  });
  return fitAndValidate(pack, cut, validation);
}

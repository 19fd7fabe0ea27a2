import type { Chemistry } from "../../model.js";
import type { RunGrid } from "./run-grid.js";

/** The pack whose runs are pooled. */
export interface PooledPack {
  readonly chemistry: Chemistry;
  readonly series: number;
  readonly ratedCapacityMah: number;
  readonly massGrams: number | null;
}

/** One accepted run of a pack, as its model is fitted to it. */
export interface PackRun {
  readonly id: string;
  readonly specimenId: string;
  readonly testerId: string;
  readonly grid: RunGrid;
  /** Of the room, degC; null when nobody said. */
  readonly ambientC: number | null;
  /** Age of the specimen in cycles; null when nobody said. */
  readonly cycles: number | null;
  /** Whether the load was carried to the cutoff of its protocol. */
  readonly reachedCutoff: boolean;
  /** Share of the charge that had been drawn before the run; null for one from a full pack. */
  readonly drawnBefore: number | null;
}

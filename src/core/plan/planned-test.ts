import type { Demands } from "./demands.js";
import type { NextStep } from "./next-step.js";

export const CHECKLIST_STAGES = ["before", "during", "after"] as const;
export type ChecklistStage = (typeof CHECKLIST_STAGES)[number];

/** One thing to do or to look at. */
export interface ChecklistItem {
  readonly stage: ChecklistStage;
  readonly text: string;
}

/** What to set a load to. Each holds at 10 s; a load sets one of them. */
export interface LoadSetting {
  readonly currentA: number;
  readonly ohm: number;
  readonly powerW: number;
  /** How long it is drawn, s. */
  readonly seconds: number;
}

/** A standard load within reach of the planned one: set a resistance to it and nothing is left to translate. */
export interface StandardLoadChoice {
  readonly loadA: number;
  readonly ohm: number;
  /** The current that it is expected to draw at 10 s, A. */
  readonly currentA: number;
  /** That over the current of the planned load. */
  readonly ratio: number;
}

/** What the load, and the pack, are expected to go through. Magnitudes: a typical cell, not this pack. */
export interface Expectation {
  readonly seconds: number;
  readonly capacityMah: number;
  /** Highest power into the load, W: what a load bank has to be rated for. */
  readonly highestPowerW: number;
  readonly highestCurrentA: number;
  /** Energy that ends as heat in the load, Wh. */
  readonly loadHeatWh: number;
  /** Heat in the pack, Wh, and how far it would warm a pack that loses none, K. */
  readonly packHeatWh: number;
  readonly temperatureRiseK: number;
  readonly endsAtCutoff: boolean;
}

export interface Plan {
  /** Loads in their order; none where a ladder is done. */
  readonly loads: readonly LoadSetting[];
  readonly standardLoads: readonly StandardLoadChoice[];
  readonly nextStep: NextStep | null;
  readonly stop: Stop;
  readonly expected: Expectation | null;
  readonly demands: Demands;
  /** The maker's limits, A; null where the label states none. */
  readonly labelContinuousA: number | null;
  readonly labelBurstA: number | null;
  /** Cautions come first. */
  readonly cautions: readonly string[];
  readonly checklist: readonly ChecklistItem[];
}

export interface Stop {
  /** Voltage under load at which the test ends, of the whole pack and per cell, V; null where its pulses end it. */
  readonly cutoffVolts: number | null;
  readonly cutoffVoltsPerCell: number | null;
  /** The protocol's temperature limit, and where a run no longer conforms: the cut-out is set no higher, degC. */
  readonly temperatureLimitC: number;
  readonly cutOutC: number;
}

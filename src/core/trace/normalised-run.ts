import type { Adjustment, Trace, TraceSummary } from "../model.js";
import type { Spikes } from "./repair-spikes.js";
import type { Samples } from "./samples.js";
import type { Stop } from "./stop.js";

/** A log in the form that all benches share, with what had to be changed to get there. Times are s from onset. */
export interface NormalisedRun {
  readonly trace: Trace;
  readonly samples: Samples;
  readonly summary: TraceSummary;
  readonly stop: Stop;
  /** I_hi, A. */
  readonly loadCurrentA: number;
  readonly riseS: number | null;
  /** V0 with the number of samples it is the median of; null when no rest was logged. */
  readonly rest: { readonly volts: number; readonly samples: number } | null;
  /** T0, degC. */
  readonly startTemperatureC: number | null;
  /** Offset of the current sensor over the rest, A; null when less than 1 s of rest was logged. */
  readonly zero: { readonly offsetA: number; readonly samples: number; readonly subtracted: boolean } | null;
  /** 0 when sensed at the pack; null when sensed past leads of which nothing is known. */
  readonly senseOhm: number | null;
  readonly largestGap: { readonly seconds: number; readonly fromS: number };
  /** How long the log goes on under load after the cutoff. */
  readonly clippedS: number;
  /** Samples that no pack and no load gives. */
  readonly spikes: Spikes;
  readonly adjustments: readonly Adjustment[];
}

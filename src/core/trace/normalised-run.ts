import type { JoinedChannel } from "../channels/joined-rates.js";
import type { Adjustment, Trace, TraceSummary } from "../model.js";
import type { SummedCells } from "./cells/summed-cells.js";
import type { Counted } from "./choose-rows.js";
import type { CurrentZero } from "./current-zero.js";
import type { ReadingsOfTrace } from "./readings-of-trace.js";
import type { Repeats } from "./repeats/each-reading-once.js";
import type { Samples } from "./samples.js";
import type { Spikes } from "./spikes/repair-spikes.js";
import type { Stop } from "./stop.js";

/** The part of a log that figures are read from: the rest before the load, the load, and the recovery. */
export interface ReadPart {
  /** Its samples, `to` exclusive. */
  readonly from: number;
  readonly to: number;
  /** Rows in it without a number for time, voltage or current; repeated ones; and those whose time does not rise. */
  readonly unusable: Counted;
  readonly duplicates: Counted;
  readonly unordered: Counted;
}

/** A log in the form that all benches share, with what had to be changed to get there. Times are s from onset. */
export interface NormalisedRun {
  readonly trace: Trace;
  readonly readings: ReadingsOfTrace;
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
  /** Zero of the current sensor by the rest; null when less than 1 s of it was logged. */
  readonly zero: CurrentZero | null;
  /** 0 when sensed at the pack; null when sensed past leads of which nothing is known. */
  readonly senseOhm: number | null;
  readonly largestGap: { readonly seconds: number; readonly fromS: number };
  /** How long the log goes on under load after the cutoff. */
  readonly clippedS: number;
  readonly part: ReadPart;
  /** How long the log goes on after the load, up to a next load, s. */
  readonly recoveryS: number;
  /** The cells of which the voltage is the sum; null where the pack's voltage was logged. */
  readonly summed: SummedCells | null;
  /** Samples that no pack and no load gives. */
  readonly spikes: Spikes;
  /** How the log repeats its readings; null where each of its rows has readings of its own. */
  readonly repeats: Repeats | null;
  /** The instant of a reading is known to within this time, s; null where its row tells it. */
  readonly instantS: number | null;
  /** The one of voltage and current that was taken between readings of its own; null where none was. */
  readonly joined: JoinedChannel | null;
  readonly adjustments: readonly Adjustment[];
}

/** What the uncertainties of a run need of it: all of it is told by the trace and the bench. */
export interface MeasuredRun
  extends Pick<
    NormalisedRun,
    "trace" | "stop" | "loadCurrentA" | "riseS" | "rest" | "zero" | "senseOhm" | "summed" | "instantS" | "joined"
  > {
  readonly summary: Pick<TraceSummary, "rateHz">;
  readonly part: Pick<ReadPart, "from" | "to">;
}

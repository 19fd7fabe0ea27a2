import type { EvaluationInput } from "../figures/evaluation-input.js";
import type { BenchFacts, PackFacts, Trace } from "../model.js";
import type { ProtocolDocument } from "../protocol/document.js";
import { pulsesOf, translationOf } from "../protocol/load.js";
import { median, medianInPlace } from "../statistics/median.js";
import { currentZero, ZERO_REST_SECONDS } from "../trace/current-zero.js";
import type { MeasuredRun } from "../trace/normalised-run.js";
import { findOnset, restWindow } from "../trace/onset.js";
import { senseResistanceOhm } from "../trace/sense.js";
import { indexAtOrAfter } from "../trace/series.js";
import { findStop } from "../trace/stop.js";

/** How long after the load the recovery is read, s. */
const RECOVERY_SECONDS = 10;

/** A stored trace with all that its figures and their uncertainties are computed from. */
export interface TraceToRead {
  readonly input: EvaluationInput;
  readonly run: MeasuredRun;
}

/**
 * Finds in a stored trace what its evaluation found in the log: rest, rise, load and end. Leads and the sensor's zero are taken out of
 * it already; what is left of the zero's uncertainty is told by the rest.
 *
 * @param cutoffVoltsPerCell null for the protocol's own
 * @param summedCells of how many cells the voltage is the sum; null where it was logged
 * @returns null where the trace holds no load
 */
export function inputOfTrace(
  trace: Trace,
  pack: PackFacts,
  bench: BenchFacts,
  protocol: ProtocolDocument,
  cutoffVoltsPerCell: number | null,
  summedCells: number | null = null,
): TraceToRead | null {
  const { time, current, voltage, temperature } = trace;
  const onset = findOnset(time, current);
  if (!onset) return null;
  const cutoff = cutoffVoltsPerCell ?? protocol.cells[pack.chemistry].cutoff;
  const limits = {
    cutoffVolts: cutoff === null ? null : pack.series * cutoff,
    series: pack.series,
    temperatureLimitC: protocol.temperatureLimitC,
    endingProbeK: protocol.load.kind === "set-current" ? (bench.temperature?.offset ?? 0) : null,
  };
  const translation = translationOf(protocol, pack);
  const found = restWindow(time, current, onset);
  const rest = found && { volts: median(voltage.subarray(found.from, found.to)), samples: found.to - found.from };
  const stop = findStop(trace, onset.loadCurrentA, limits);
  const first = indexAtOrAfter(time, 0);
  return {
    input: {
      trace,
      rest,
      startTemperatureC:
        temperature && (found ? median(temperature.subarray(found.from, found.to)) : (temperature[first] ?? null)),
      loadCurrentA: onset.loadCurrentA,
      limits,
      cutoffShiftS: 0,
      translation: translation && { ...translation, cutoffVolts: limits.cutoffVolts ?? translation.cutoffVolts },
      pulses: pulsesOf(protocol, pack),
      pulseShiftS: 0,
    },
    run: {
      trace,
      stop,
      summary: { rateHz: rateOf(time, first, indexAtOrAfter(time, stop.endS)) },
      loadCurrentA: onset.loadCurrentA,
      riseS: onset.riseSeconds,
      rest,
      zero: currentZero(time, current, onset, bench.current),
      senseOhm: senseResistanceOhm(bench.sense),
      summed: summedCells === null ? null : { count: summedCells, cells: [] },
      // A trace has each reading once and does not tell how its log repeated or joined them.
      instantS: null,
      joined: null,
      part: {
        from: indexAtOrAfter(time, (onset.riseFrom ?? onset.instant) - ZERO_REST_SECONDS),
        to: indexAtOrAfter(time, stop.loadEndS + RECOVERY_SECONDS),
      },
    },
  };
}

/** Median of 1/dt between two samples, Hz. */
function rateOf(time: Float64Array, first: number, last: number): number {
  const to = Math.min(Math.max(last, first + 1), time.length - 1);
  const from = Math.min(first, to - 1);
  const rates = Float64Array.from({ length: to - from }, (_, i) => {
    return 1 / ((time[from + i + 1] as number) - (time[from + i] as number));
  });
  return medianInPlace(rates);
}

import type { PackFacts, Trace } from "../model.js";
import type { ProtocolDocument } from "../protocol/document.js";
import { translationOf } from "../protocol/load.js";
import { median } from "../statistics/median.js";
import { findOnset, restWindow } from "../trace/onset.js";
import { STANDARD_LOADS_A } from "../translation/standard-loads.js";
import { type EvaluationInput, readInput } from "./evaluation-input.js";

/**
 * The trace of an evaluated run as it would have been under a standard load, by the same translation as its figures.
 *
 * @param trace of an evaluation, s from onset
 * @param loadA the standard load, A
 * @returns s from onset, V of the pack and A; null where the run cannot be translated there or the load is out of its reach
 */
export function traceUnderLoad(trace: Trace, pack: PackFacts, protocol: ProtocolDocument, loadA: number): Trace | null {
  const translation = translationOf(protocol, pack);
  const onset = findOnset(trace.time, trace.current);
  if (!translation || !onset || !STANDARD_LOADS_A.includes(loadA)) return null;
  const rest = restWindow(trace.time, trace.current, onset);
  const input: EvaluationInput = {
    trace,
    rest: rest && { volts: median(trace.voltage.subarray(rest.from, rest.to)), samples: rest.to - rest.from },
    startTemperatureC: null,
    loadCurrentA: onset.loadCurrentA,
    limits: {
      cutoffVolts: translation.cutoffVolts,
      series: pack.series,
      temperatureLimitC: protocol.temperatureLimitC,
    },
    cutoffShiftS: 0,
    translation,
    pulses: null,
    pulseShiftS: 0,
  };
  const [found] = readInput(input, undefined, { loads: [loadA] }).translated;
  const { lowestRatio, highestRatio } = translation;
  return found && found.ratio >= lowestRatio && found.ratio <= highestRatio ? found.trace : null;
}

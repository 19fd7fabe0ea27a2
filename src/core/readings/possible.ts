import type { EvaluationInput } from "../figures/evaluation-input.js";
import type { InputError } from "../inputs/input-error.js";
import type { PackFacts } from "../model.js";
import { decimalExponent, powerOfTen } from "../numerics/powers.js";
import type { ProtocolDocument } from "../protocol/document.js";
import { cellSource, type RunModel } from "../translation/cell-source.js";
import type { ChosenLoad } from "../translation/load-law.js";
import { bestState } from "../translation/moved-models.js";
import { standardOhmPerCell } from "../translation/standard-loads.js";
import { sourceAt10S } from "../translation/translate.js";
import type { ChosenReadings } from "./chosen.js";

/** Half of the window of a mark, s. */
export const HALF_MARK_S = 0.5;

/** A cutoff that a cell of this chemistry cannot have, with those that it can have; null when it is possible. */
export function cutoffProblem(cutoff: number | null, pack: PackFacts, protocol: ProtocolDocument): InputError | null {
  const { lowest, full } = protocol.cells[pack.chemistry];
  if (cutoff === null || (cutoff >= lowest && cutoff < full)) return null;
  return {
    pointer: "/cutoff",
    message: `must be from ${lowest} to below ${full} V per cell for a pack of ${pack.chemistry}`,
  };
}

/** Marks and spans that do not lie within what was read, with how far that goes. */
export function instantProblems({ atS, spans }: ChosenReadings, endS: number): InputError[] {
  const last = Math.floor((endS - HALF_MARK_S) * 10) / 10;
  const range = last < HALF_MARK_S ? "none: it is too short for a mark" : `from ${HALF_MARK_S} to ${last} s`;
  const marks = atS.filter((at) => at < HALF_MARK_S || at + HALF_MARK_S > endS);
  const beyond = spans.filter(({ toS }) => toS > endS);
  return [
    ...marks.map((at) => ({ pointer: "/at", message: `${at} s is not within the run: marks can be ${range}` })),
    ...beyond.map(({ fromS, toS }) => ({
      pointer: "/span",
      message: `${fromS}..${toS} s is not within the run: spans can be from 0 to ${Math.floor(endS * 10) / 10} s`,
    })),
  ];
}

/** Marks and spans of a run whose log begins under load: they count from an onset that it does not show. */
export function onsetProblems({ atS, spans }: ChosenReadings): InputError[] {
  const message =
    "must be left out: the log of this run begins under load, so the onset that seconds count from is unknown";
  return [
    ...(atS.length > 0 ? [{ pointer: "/at", message }] : []),
    ...(spans.length > 0 ? [{ pointer: "/span", message }] : []),
  ];
}

/** A cutoff of the reader's choice that the run reaches too early to tell of other loads, as it does to its own. */
export function earlyCutoff(endS: number): InputError {
  const reached = `after ${endS.toFixed(1)} s`;
  return {
    pointer: "/cutoff",
    message: `must be lower to read the run under another load than its own: it reaches this voltage ${reached}, and tells too little until then`,
  };
}

/** What a run tells nothing about: a load out of its reach, with the loads of that kind that it does reach. */
export function loadProblem(
  load: number | ChosenLoad,
  { translation, limits: { series } }: EvaluationInput,
  model: RunModel | null,
  ratio: number | null,
): InputError | null {
  const pointer = "/load";
  if (!translation)
    return { pointer, message: "must be left out: runs of this protocol are read under their own load" };
  if (!model)
    return { pointer, message: "must be left out: the run is too short, or logged no rest, to tell of other loads" };
  const { lowestRatio, highestRatio } = translation;
  if (ratio !== null && ratio >= lowestRatio && ratio <= highestRatio) return null;
  const { openVolts, ohm } = sourceAt10S(cellSource(model, bestState(model)), model);
  const reached = [lowestRatio, highestRatio].map((share) => {
    const amps = share * model.current10sA;
    return inKind(load, amps, openVolts - ohm * amps, series);
  });
  const [least, most] = [Math.min(...reached), Math.max(...reached)];
  const unit =
    typeof load === "number" ? "A as a standard load" : { current: "A", power: "W", resistance: "ohm" }[load.kind];
  return {
    pointer,
    message: `is out of the run's reach, which goes from ${rounded(least, "up")} to ${rounded(most, "down")} ${unit}`,
  };
}

/** A load that draws `amps` at `volts` of a cell, as a number of the given kind, for the whole pack. */
function inKind(load: number | ChosenLoad, amps: number, volts: number, series: number): number {
  if (typeof load === "number") return (amps * standardOhmPerCell(1)) / volts;
  return { current: amps, power: amps * volts * series, resistance: (volts / amps) * series }[load.kind];
}

/** Three digits, towards the inside of a range. */
function rounded(value: number, direction: "up" | "down"): number {
  const step = powerOfTen(decimalExponent(value) - 2);
  const steps = direction === "up" ? Math.ceil(value / step) : Math.floor(value / step);
  return Number((steps * step).toPrecision(3));
}

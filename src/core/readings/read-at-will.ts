import { figuresNamed } from "../figures/catalogue.js";
import { type ChosenWindow, chosenFormulas } from "../figures/chosen-windows.js";
import { readInput } from "../figures/evaluation-input.js";
import { CHOSEN_QUANTITIES } from "../figures/reading.js";
import { figuresOf } from "../figures/with-uncertainty.js";
import type { InputError } from "../inputs/input-error.js";
import type { BenchFacts, Bound, Figure, PackFacts, StopReason, Trace } from "../model.js";
import type { ProtocolDocument } from "../protocol/document.js";
import type { ChosenReadings } from "./chosen.js";
import { inputOfTrace } from "./input-of-trace.js";
import { cutoffProblem, earlyCutoff, HALF_MARK_S, instantProblems, loadProblem, onsetProblems } from "./possible.js";

export const READING_KINDS = ["mark", "span", "cutoff"] as const;

export const READ_QUANTITIES = [...CHOSEN_QUANTITIES, "runtime", "capacity", "current-mean"] as const;
export type ReadQuantity = (typeof READ_QUANTITIES)[number];

/** One number that was read, with its standard uncertainty, in `unit`. */
export interface ReadValue {
  readonly quantity: ReadQuantity;
  readonly value: number;
  readonly unit: string;
  readonly uncertainty: number;
  readonly bound: Bound;
}

/**
 * What was read in one place: at a mark means over 1 s around it, and charge and energy until then; of a span means, charge and energy; at
 * the cutoff what was delivered until then. s from onset.
 */
export interface PlaceRead {
  readonly kind: (typeof READING_KINDS)[number];
  readonly fromS: number;
  readonly toS: number;
  readonly values: readonly ReadValue[];
}

export interface RunReadings {
  readonly cutoffVoltsPerCell: number | null;
  /** Where reading ends, s. */
  readonly endS: number;
  readonly stop: StopReason;
  readonly places: readonly PlaceRead[];
}

/** What is read at the cutoff, by the figure that it is. */
const AT_CUTOFF: readonly string[] = [
  "runtime",
  "capacity",
  "energy",
  "current-mean",
  "power-cutoff",
  "voltage-cutoff",
  "current-cutoff",
];

/** What is known of a run beside its trace. */
export interface RunToRead {
  readonly pack: PackFacts;
  readonly bench: BenchFacts;
  readonly protocol: ProtocolDocument;
  /** Of how many cells the voltage is the sum; null or left out where it was logged. */
  readonly summedCells?: number | null;
}

/**
 * Reads a run where, to which cutoff and under which load a reader wants, with uncertainties as those of its figures.
 *
 * @param trace of its evaluation, s from onset
 * @returns what is wrong with the wish, and what is possible for this run, where it cannot be read so
 */
export function readAtWill(
  trace: Trace,
  { pack, bench, protocol, summedCells = null }: RunToRead,
  chosen: ChosenReadings,
): RunReadings | readonly InputError[] {
  const cutoffError = cutoffProblem(chosen.cutoffVoltsPerCell, pack, protocol);
  if (cutoffError) return [cutoffError];
  const found = inputOfTrace(trace, pack, bench, protocol, chosen.cutoffVoltsPerCell, summedCells);
  if (!found) return [{ pointer: "/at", message: "cannot be read: the run holds no load" }];
  const windows = windowsOf(chosen);
  const { load } = chosen;
  const { run } = found;
  const input = { ...found.input, windows, translation: load === null ? null : found.input.translation };
  const reads = readInput(input, run.stop, { loads: load === null ? [] : [load] });
  const [under] = reads.translated;
  const loadError = load === null ? null : loadProblem(load, input, reads.model, under?.ratio ?? null);
  if (loadError) {
    if (reads.model || chosen.cutoffVoltsPerCell === null) return [loadError];
    // Whether the load is to blame shows what the run tells to its own cutoff.
    const about = { pack, bench, protocol, summedCells };
    const toOwnCutoff = readAtWill(trace, about, { atS: [], spans: [], cutoffVoltsPerCell: null, load });
    return "places" in toOwnCutoff ? [earlyCutoff(run.stop.endS)] : toOwnCutoff;
  }
  const stop = under?.stop ?? run.stop;
  const errors = run.riseS === null ? onsetProblems(chosen) : instantProblems(chosen, stop.endS);
  if (errors.length > 0) return errors;
  const formulas = [...figuresNamed(AT_CUTOFF), ...chosenFormulas(windows)];
  const figures = figuresOf(input, reads, run, pack, bench, formulas).filter(
    ({ basis }) => (basis === "translated") === (load !== null),
  );
  const { cutoffVolts, series } = input.limits;
  return {
    cutoffVoltsPerCell: cutoffVolts === null ? null : cutoffVolts / series,
    endS: stop.endS,
    stop: stop.reason,
    places: [...placesOf(chosen, figures), cutoffOf(figures, stop.endS)],
  };
}

function windowsOf({ atS, spans }: ChosenReadings): ChosenWindow[] {
  return [
    ...atS.map((at) => ({ meanFromS: at - HALF_MARK_S, meanToS: at + HALF_MARK_S, sumFromS: 0, sumToS: at })),
    ...spans.map(({ fromS, toS }) => ({ meanFromS: fromS, meanToS: toS, sumFromS: fromS, sumToS: toS })),
  ];
}

function placesOf({ atS, spans }: ChosenReadings, figures: readonly Figure[]): PlaceRead[] {
  const places = [
    ...atS.map((at) => ({ kind: "mark" as const, fromS: at - HALF_MARK_S, toS: at + HALF_MARK_S })),
    ...spans.map((span) => ({ kind: "span" as const, ...span })),
  ];
  return places.map((place, i) => {
    const prefix = `chosen-${i}-`;
    const values = figures.filter(({ key }) => key.startsWith(prefix));
    return { ...place, values: values.map((figure) => readValue(figure, figure.key.slice(prefix.length))) };
  });
}

function cutoffOf(figures: readonly Figure[], endS: number): PlaceRead {
  const values = AT_CUTOFF.flatMap((key) => {
    const figure = figures.find((one) => one.key === key);
    return figure ? [readValue(figure, key.replace(/-cutoff$/, ""))] : [];
  });
  return { kind: "cutoff", fromS: 0, toS: endS, values };
}

const readValue = ({ value, unit, uncertainty, bound }: Figure, quantity: string): ReadValue => ({
  quantity: quantity as ReadQuantity,
  value,
  unit,
  uncertainty,
  bound,
});

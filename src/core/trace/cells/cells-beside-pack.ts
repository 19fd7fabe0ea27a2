import type { Accuracy, Adjustment, Trace } from "../../model.js";
import type { NormalisedRun } from "../normalised-run.js";
import { mean } from "../series.js";

/** The kind of adjustment that says of how many cells, its number before, the voltage is the sum. */
export const VOLTAGE_FROM_CELLS = "voltage-from-cells";

/** What says which of pack voltage and cell voltages was taken. */
export interface VoltagesLogged extends Pick<NormalisedRun, "samples" | "summed" | "stop"> {
  readonly trace: Trace;
  readonly series: number;
  /** Stated accuracy of the voltage. */
  readonly stated: Accuracy;
}

/**
 * Says that the sum of the cells was taken where no pack voltage was logged; and, where both were, that they contradict each other: their means under
 * load lie farther apart than the stated accuracy of both readings allows. The pack voltage is taken, at the pack's terminals.
 */
export function voltagesTaken({ samples, summed, trace, series, stop, stated }: VoltagesLogged): Adjustment[] {
  if (summed) {
    const { count } = summed;
    if (count === 1) return [];
    return [
      {
        kind: VOLTAGE_FROM_CELLS,
        message: `The log has no pack voltage: the sum of its ${count} cell voltages was taken. The fixed part of the stated accuracy counts for each of them.`,
        before: count,
        after: 1,
        unit: "1",
      },
    ];
  }
  const { meanCell, cells } = samples;
  if (!meanCell || cells.length !== series) return [];
  const ofCells = series * mean(trace.time, meanCell, 0, stop.endS);
  const ofPack = mean(trace.time, trace.voltage, 0, stop.endS);
  if (!(ofCells > 0 && ofPack > 0)) return [];
  const allowed = (stated.percent / 100) * (ofCells + ofPack) + (1 + series) * stated.offset;
  const apart = ofPack - ofCells;
  if (!(Math.abs(apart) > allowed)) return [];
  return [
    {
      kind: "cells-contradict-pack",
      message: `Under load the cell voltages add up to ${ofCells.toFixed(2)} V on the mean, ${Math.abs(apart).toFixed(2)} V ${apart > 0 ? "less" : "more"} than the voltage at the pack's terminals; the stated accuracy of the voltage allows ${allowed.toFixed(2)} V. The pack voltage was taken. Check where it is sensed, the declared resistance of the leads, and the wires of the cells.`,
      before: ofCells,
      after: ofPack,
      unit: "V",
    },
  ];
}

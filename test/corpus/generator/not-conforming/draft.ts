import { type BenchModel, measure } from "../../../../seed/simulator/bench.js";
import { type DischargePlan, simulateDischarge } from "../../../../seed/simulator/discharge.js";
import { createRandom } from "../../../../seed/simulator/random.js";
import type { BenchFacts, PackFacts, RunConditions } from "../../../../src/core/model.js";

/** One row of a log before it is written; what was not read is NaN. Times run from the start of the log, s. */
export interface Row {
  readonly time: number;
  readonly voltage: number;
  readonly current: number;
  readonly temperature: number;
  /** A second probe, where a case gives one. */
  readonly probe?: number;
  readonly cells: readonly number[];
  /** W, mAh and Wh, as the logger worked them out. */
  readonly power: number;
  readonly charge: number;
  readonly energy: number;
}

/** A run before it becomes a file: what is simulated, how it is measured, what is declared, and what is done to its rows. */
export interface Draft {
  /** The version under which the run is evaluated: the one that first sets the rule which it fails. */
  readonly protocol: { readonly key: string; readonly version: number };
  readonly pack: PackFacts;
  readonly plan: DischargePlan;
  readonly bench: BenchModel;
  /** Reading of the current sensor at no current, A. */
  readonly currentZeroA: number;
  /** What the bench's owner states, which may be something else. */
  readonly stated: BenchFacts;
  readonly conditions: RunConditions;
  /** Columns after time, voltage and current. */
  readonly columns: readonly ExtraColumn[];
  /** Decimals of time, voltage and current. */
  readonly decimals: readonly [time: number, voltage: number, current: number];
  readonly edit?: (rows: readonly Row[], plan: DischargePlan) => readonly Row[];
}

export type ExtraColumn = "temperature" | "probe" | "cells" | "power" | "charge" | "energy";

const HEADERS: Readonly<Record<Exclude<ExtraColumn, "cells">, readonly [header: string, decimals: number]>> = {
  temperature: ["Temperature [degC]", 1],
  probe: ["Temperature 2 [degC]", 1],
  power: ["Power [W]", 1],
  charge: ["Charge [mAh]", 1],
  energy: ["Energy [Wh]", 3],
};

/** The log of a draft. The same draft gives the same bytes. */
export function textOf(draft: Draft, seed: number): string {
  const { plan, bench, currentZeroA, columns, decimals, edit } = draft;
  const log = measure(simulateDischarge(plan), bench, { currentZeroA, cellImbalance: IMBALANCE }, createRandom(seed));
  const rows = counted(
    log.timeSeconds.map((time, i) => ({
      time,
      voltage: log.voltage[i] as number,
      current: log.current[i] as number,
      temperature: log.temperature?.[i] ?? Number.NaN,
      cells: log.cells?.[i] ?? [],
    })),
  );
  const headers = columns.flatMap((column) =>
    column === "cells" ? IMBALANCE.map((_, i) => `Cell ${i + 1} [V]`) : HEADERS[column][0],
  );
  const number = (value: number, places: number) => (Number.isNaN(value) ? "" : value.toFixed(places));
  const lines = (edit?.(rows, plan) ?? rows).map((row) =>
    [
      number(row.time, decimals[0]),
      number(row.voltage, decimals[1]),
      number(row.current, decimals[2]),
      ...columns.flatMap((column) =>
        column === "cells"
          ? row.cells.map((volts) => number(volts, 3))
          : number(row[column] ?? Number.NaN, HEADERS[column][1]),
      ),
    ].join(","),
  );
  return `${[["Time [s]", "Voltage [V]", "Current [A]", ...headers].join(","), ...lines].join("\n")}\n`;
}

/** Shares by which the four cells depart from their mean. */
const IMBALANCE = [0.0006, -0.0008, 0.0003, -0.0001];

function counted(rows: readonly Omit<Row, "power" | "charge" | "energy">[]): Row[] {
  let [charge, energy] = [0, 0];
  return rows.map((row, i) => {
    const power = row.voltage * row.current;
    const hours = (row.time - (rows[i - 1]?.time ?? 0)) / 3600;
    charge += 1000 * row.current * hours;
    energy += power * hours;
    return { ...row, power, charge, energy };
  });
}

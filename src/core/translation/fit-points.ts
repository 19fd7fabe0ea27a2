import { bendsAt, type CellState, endRiseAt } from "./cell-model.js";
import type { FitGroup } from "./fit-groups.js";
import type { LoadedRun } from "./loaded-run.js";

/** One voltage that the model of a run is fitted to: the mean of neighbouring samples. */
export interface FitPoint extends CellState {
  /** V per cell. */
  readonly volts: number;
  /** Standard uncertainty given to it, V per cell. */
  readonly deviation: number;
}

const AT_REST_V = 0.002;

/** The voltages of a run that its model is fitted to: rest, load and recovery. `restVolts` per cell. */
export function fitPoints(run: LoadedRun, groups: readonly FitGroup[], restVolts: number): FitPoint[] {
  const currents = new Float64Array(1 + run.lagged.length);
  const rest = pointAt({ u: 0, y: 0, currents, volts: restVolts, deviation: AT_REST_V });
  return [rest, ...groups.map((group) => meanPoint(run, group))];
}

/** The same points of a run with other voltages. */
export function withVoltages(
  points: readonly FitPoint[],
  voltage: Float64Array,
  groups: readonly FitGroup[],
  restVolts: number,
): FitPoint[] {
  return points.map((point, i) => {
    const group = groups[i - 1];
    return { ...point, volts: group ? meanOver(voltage, group) : restVolts };
  });
}

function meanOver(values: Float64Array, { from, to }: FitGroup): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i] as number;
  return sum / (to - from);
}

const pointAt = (point: Omit<FitPoint, "bends" | "endRise">): FitPoint => {
  return { ...point, bends: bendsAt(point.u), endRise: endRiseAt(point.u) };
};

function meanPoint(run: LoadedRun, group: FitGroup): FitPoint {
  const { voltage, current, charge, heat, lagged, loaded } = run;
  const mean = (values: Float64Array) => meanOver(values, group);
  const currents = new Float64Array(1 + lagged.length);
  currents[0] = mean(current);
  lagged.forEach((values, j) => {
    currents[j + 1] = mean(values);
  });
  const u = mean(charge) / (charge[loaded - 1] as number);
  const y = mean(heat) / (heat[loaded - 1] as number);
  return pointAt({ u, y, currents, volts: mean(voltage), deviation: group.deviation });
}

import { LogError } from "../table/log-error.js";
import { foldLoads } from "./fold-loads.js";
import type { LogDemand, LoggedLoad } from "./log-demand.js";
import { logRemarks, type UseRemark } from "./log-remarks.js";
import { MAX_USE_S, MIN_STEP_S, type UseStep } from "./use.js";

/** What was logged: s, V of the pack, A drawn from it. */
export interface LoggedUse {
  readonly time: ArrayLike<number>;
  readonly voltage: ArrayLike<number>;
  readonly current: ArrayLike<number>;
}

/** A use made of a log, and what of it is less sure than it looks. */
export interface UseOfLog {
  readonly steps: readonly UseStep[];
  readonly remarks: readonly UseRemark[];
}

/** A log is first cut into pieces of this length or a little more, s; what lasts longer than a use may into as many as that has. */
const PIECE_S = 0.25;
const MAX_PIECES = MAX_USE_S / PIECE_S;
/** Before the first piece and after the last one above this share of the largest the pack rests. */
const RESTING = 0.005;

/**
 * Makes steps of a use of what a log shows was drawn, from the first load to the last. Each step holds the mean over its time, so the charge (of
 * a power the energy) is that of the log; what was charged back counts as rest. Where pieces are too many for a use they are folded (`foldLoads`).
 *
 * @throws LogError `log-no-load` when nothing was drawn, `log-too-short` when the log is shorter than a step may be
 */
export function toUse(log: LoggedUse, demand: LogDemand): UseOfLog {
  const load = loadOf(log, demand);
  const { pieceS, means } = piecesOf(load);
  const largest = means.reduce((most, value) => Math.max(most, value), 0);
  const isDrawn = (value: number) => value > RESTING * largest;
  const first = means.findIndex(isDrawn);
  if (first < 0) throw noLoad(demand);
  const drawn = means.subarray(first, means.findLastIndex(isDrawn) + 1);
  const folded = foldLoads(drawn, pieceS, demand);
  return { steps: folded.steps, remarks: logRemarks(load, folded, demand) };
}

const noLoad = (demand: LogDemand) =>
  new LogError("log-no-load", `The log shows no load: its ${demand} is never above zero.`);

/** The samples of a log from the one before the first load to the one after the last. */
function loadOf({ time, voltage, current }: LoggedUse, demand: LogDemand): LoggedLoad {
  const size = time.length;
  if (!((time[size - 1] ?? 0) - (time[0] ?? 0) >= MIN_STEP_S)) {
    throw new LogError(
      "log-too-short",
      `The log is shorter than ${MIN_STEP_S} s, as long as a step of a use has to be.`,
    );
  }
  const value = Float64Array.from({ length: size }, (_, i) => {
    const asked = (current[i] as number) * (demand === "power" ? (voltage[i] as number) : 1);
    return Number.isFinite(asked) ? Math.max(0, asked) : 0;
  });
  const least = RESTING * value.reduce((most, one) => Math.max(most, one), 0);
  const isLoad = (one: number) => one > least;
  const first = value.findIndex(isLoad);
  if (first < 0) throw noLoad(demand);
  let [from, to] = [Math.max(0, first - 1), Math.min(size, value.findLastIndex(isLoad) + 2)];
  // A load of one sample alone lasts shorter than a step may.
  while ((time[to - 1] as number) - (time[from] as number) < MIN_STEP_S)
    [from, to] = [Math.max(0, from - 1), Math.min(size, to + 1)];
  return {
    time: Float64Array.from({ length: to - from }, (_, i) => time[from + i] as number),
    value: value.subarray(from, to),
  };
}

/** Means over pieces of equal length, from the integral by the trapezoidal rule. */
function piecesOf({ time, value }: LoggedLoad): { pieceS: number; means: Float64Array } {
  const size = time.length;
  const start = time[0] as number;
  const length = (time[size - 1] as number) - start;
  const count = Math.min(MAX_PIECES, Math.max(1, Math.floor(length / PIECE_S)));
  const pieceS = length / count;
  const means = new Float64Array(count);
  let place = 0;
  for (let i = 1; i < size; i++) {
    const [t0, t1] = [(time[i - 1] as number) - start, (time[i] as number) - start];
    const [y0, y1] = [value[i - 1] as number, value[i] as number];
    const lineAt = (t: number) => y0 + ((y1 - y0) * (t - t0)) / (t1 - t0);
    for (let from = t0; from < t1; ) {
      while (place < count - 1 && from >= (place + 1) * pieceS) place++;
      const to = place === count - 1 ? t1 : Math.min(t1, (place + 1) * pieceS);
      means[place] = (means[place] as number) + ((lineAt(from) + lineAt(to)) / 2) * ((to - from) / pieceS);
      from = to;
    }
  }
  return { pieceS, means };
}

import { LogError } from "../table/log-error.js";
import { MIN_STEP_S, type UseStep } from "./use.js";

export const LOG_DEMANDS = ["current", "power"] as const;
/** What of a log a use asks of other packs. */
export type LogDemand = (typeof LOG_DEMANDS)[number];

/** What was logged: s, V of the pack, A drawn from it. */
export interface LoggedUse {
  readonly time: ArrayLike<number>;
  readonly voltage: ArrayLike<number>;
  readonly current: ArrayLike<number>;
}

/** A log is first cut into pieces of this length or a little more, s; longer ones into so many pieces. */
const PIECE_S = 0.25;
const MAX_PIECES = 4_000;
/** Pieces that follow each other are one step while they stay this close together, as a share of the largest. */
const SAME = 0.01;
/** Before the first piece and after the last one above this share of the largest the pack rests. */
const RESTING = 0.005;

/**
 * Makes steps of a use of what a log shows was drawn, from the first load to the last. Each step holds the mean over its time, so the charge (of
 * a power the energy) is that of the log; what was charged back counts as rest.
 *
 * @throws LogError `log-no-load` when nothing was drawn, `log-too-short` when the log is shorter than a step may be
 */
export function stepsOfLog(log: LoggedUse, demand: LogDemand): UseStep[] {
  const { pieceS, means } = piecesOf(log, demand);
  const largest = means.reduce((most, value) => Math.max(most, value), 0);
  const isDrawn = (value: number) => value > RESTING * largest;
  const first = means.findIndex(isDrawn);
  if (first < 0) {
    throw new LogError("log-no-load", `The log shows no load: its ${demand} is never above zero.`);
  }
  const drawn = means.subarray(first, means.findLastIndex(isDrawn) + 1);
  const steps: UseStep[] = [];
  let [from, low, high, sum] = [0, Number.POSITIVE_INFINITY, 0, 0];
  const close = (to: number) => {
    const mean = Number((sum / (to - from)).toPrecision(7));
    const seconds = Number(((to - from) * pieceS).toPrecision(9));
    steps.push(demand === "power" ? { seconds, powerW: mean } : { seconds, currentA: mean });
  };
  drawn.forEach((value, i) => {
    if (Math.max(high, value) - Math.min(low, value) > SAME * largest && i > from) {
      close(i);
      [from, low, high, sum] = [i, Number.POSITIVE_INFINITY, 0, 0];
    }
    [low, high, sum] = [Math.min(low, value), Math.max(high, value), sum + value];
  });
  close(drawn.length);
  return steps;
}

/** Means over pieces of equal length, from the integral by the trapezoidal rule. */
function piecesOf({ time, voltage, current }: LoggedUse, demand: LogDemand): { pieceS: number; means: Float64Array } {
  const size = time.length;
  const start = time[0] ?? 0;
  const length = (time[size - 1] ?? 0) - start;
  if (!(length >= MIN_STEP_S)) {
    throw new LogError(
      "log-too-short",
      `The log is shorter than ${MIN_STEP_S} s, as long as a step of a use has to be.`,
    );
  }
  const count = Math.min(MAX_PIECES, Math.max(1, Math.floor(length / PIECE_S)));
  const pieceS = length / count;
  const valueAt = (i: number) => {
    const value = (current[i] as number) * (demand === "power" ? (voltage[i] as number) : 1);
    return Number.isFinite(value) ? Math.max(0, value) : 0;
  };
  const means = new Float64Array(count);
  let place = 0;
  for (let i = 1; i < size; i++) {
    const [t0, t1] = [(time[i - 1] as number) - start, (time[i] as number) - start];
    const [y0, y1] = [valueAt(i - 1), valueAt(i)];
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

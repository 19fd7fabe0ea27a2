import type { Trace } from "../../model.js";
import { median } from "../../statistics/median.js";
import { indexAtOrAfter } from "../../trace/series.js";

/** The load is on once it draws this many times what it drew in its first seconds, for so long, s. A load of constant power draws 1.3 times as much at the end. */
const GROWTH = 1.5;
const HELD_S = 0.5;
/** A load that grows later than this grows by its own course, s. */
const WITHIN_S = 60;
/** Its current is the median over so long from then on, s, as that of a load is; it is reached at this share. */
const LEVEL_S = 5;
const REACHED_SHARE = 0.9;

/** A load that came on long after a weaker one. */
export interface LateLoad {
  /** When it was reached, s from onset. */
  readonly atS: number;
  /** What was drawn at first, as a share of it. */
  readonly share: number;
}

/**
 * A load that follows a weaker one within its first minute, as full throttle follows a spin-up; null where there is none.
 *
 * @param loadCurrentA median current of the first 5 s, A
 */
export function comesOnLate({ time, current }: Trace, loadCurrentA: number, endS: number): LateLoad | null {
  const least = GROWTH * loadCurrentA;
  const end = indexAtOrAfter(time, Math.min(endS, WITHIN_S));
  let since: number | null = null;
  for (let i = indexAtOrAfter(time, 0); i < end; i++) {
    if (!((current[i] as number) >= least)) since = null;
    else {
      since ??= i;
      if ((time[i] as number) - (time[since] as number) < HELD_S) continue;
      const startS = time[since] as number;
      const levelA = median(current.subarray(since, indexAtOrAfter(time, startS + LEVEL_S)));
      let reached = since;
      while (reached + 1 < time.length && (current[reached] as number) < REACHED_SHARE * levelA) reached++;
      return { atS: time[reached] as number, share: loadCurrentA / levelA };
    }
  }
  return null;
}

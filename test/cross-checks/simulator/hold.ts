import type { Random } from "./random.js";

/** A meter that reads at instants of its own: all rows until its next reading repeat the last one. */
export interface Hold {
  readonly seconds: number;
  /** Largest departure of a reading's instant from the even grid, as a share of `seconds`. */
  readonly jitterShare: number;
}

/** The instant of the last reading before each of some instants that rise between `start` and `end`; null for a meter that reads for every row. */
export function readAsOf(
  hold: Hold | undefined,
  start: number,
  end: number,
  random: Random,
): ((instant: number) => number) | null {
  if (!hold) return null;
  const instants = [start];
  const phase = random.uniform();
  for (let k = 0; (instants.at(-1) as number) < end; k++) {
    const jitter = hold.jitterShare > 0 ? random.between(-hold.jitterShare, hold.jitterShare) : 0;
    instants.push(start + Math.max(0, k + phase + jitter) * hold.seconds);
  }
  let last = 0;
  return (instant) => {
    while ((instants[last + 1] ?? Number.POSITIVE_INFINITY) <= instant) last++;
    return instants[last] as number;
  };
}

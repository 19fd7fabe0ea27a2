import type { LoadedRun } from "./loaded-run.js";

/** Neighbouring samples of a run, `to` exclusive, whose mean is one voltage that the run's model is fitted to. */
export interface FitGroup {
  readonly from: number;
  readonly to: number;
  /** Standard uncertainty given to the mean, V per cell. */
  readonly deviation: number;
  /** Whether they were logged after the load was removed. */
  readonly recovery: boolean;
}

/** Bounds of the means early in a run, s from the instant at which the load is fully on. */
const EARLY_S = [0, 0.12, 0.25, 0.4, 0.6, 0.85, 1.15, 1.6, 2.2, 3, 4, 5.3, 7, 9, 11.5, 14.5, 18] as const;
/** From there on, this many means of equal charge. */
const EVEN_POINTS = 105;
/** Windows of the rest after the load, s from its end. */
const RECOVERY_S = [
  [0.35, 0.7],
  [0.8, 1.25],
  [1.6, 2.4],
  [3.2, 4.8],
  [4.9, 6.2],
] as const;
/** Samples this near to a bound, s and as a share of the run's charge, lie on it: which side of it they are on is rounding. */
const SAME_S = 1e-6;
const SAME_CHARGE = 1e-9;
const UNDER_LOAD_V = 0.002;
const IN_RECOVERY_V = 0.003;
/** A voltage after the load counts as recovery while the current stays below this share of what it was. */
const REMOVED_SHARE = 0.1;

/** The samples of a run that its model is fitted to, under load and in recovery, in the order of the run. */
export const fitGroups = (run: LoadedRun): FitGroup[] => [...loadGroups(run), ...recoveryGroups(run)];

function loadGroups({ time, charge, loaded, full }: LoadedRun): FitGroup[] {
  const groups: FitGroup[] = [];
  const fullS = time[full] as number;
  let from = full;
  const until = (to: number) => {
    if (to > from) groups.push({ from, to, deviation: UNDER_LOAD_V, recovery: false });
    from = Math.max(from, to);
  };
  for (const bound of EARLY_S.slice(1)) {
    let to = from;
    while (to < loaded && (time[to] as number) < fullS + bound - SAME_S) to++;
    until(to);
  }
  const start = charge[Math.min(from, loaded - 1)] as number;
  const whole = charge[loaded - 1] as number;
  for (let n = 1; n <= EVEN_POINTS; n++) {
    const bound = start + ((whole - start) * n) / EVEN_POINTS + SAME_CHARGE * whole;
    let to = from;
    while (to < loaded && ((charge[to] as number) <= bound || n === EVEN_POINTS)) to++;
    until(to);
  }
  return groups;
}

function recoveryGroups({ time, current, loaded }: LoadedRun): FitGroup[] {
  const endS = time[loaded - 1] as number;
  const limit = REMOVED_SHARE * (current[Math.max(0, loaded - 3)] as number);
  let removed = loaded;
  while (removed < time.length && Math.abs(current[removed] as number) > limit) removed++;
  const removedS = (time[removed] as number) ?? endS;
  const groups: FitGroup[] = [];
  for (const [fromS, toS] of RECOVERY_S) {
    let from = removed;
    while (from < time.length && (time[from] as number) < removedS + fromS - SAME_S) from++;
    let to = from;
    while (to < time.length && (time[to] as number) <= removedS + toS + SAME_S) to++;
    if (to === from) continue;
    for (let i = from; i < to; i++) if (Math.abs(current[i] as number) > limit) return groups;
    groups.push({ from, to, deviation: IN_RECOVERY_V, recovery: true });
  }
  return groups;
}

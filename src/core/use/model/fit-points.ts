import { pow } from "../../numerics/library.js";
import type { PackRun } from "./pack-run.js";

/** How many stretches are compared: soon after onset, even in charge, over the last tenth, and of the recovery. */
const SOON = 16;
const SOON_FROM_S = 0.4;
const SOON_TO_S = 20;
const EVEN = 70;
const LATE = 16;
const LATE_SHARE = 0.9;
const RECOVERY = 7;
const RECOVERY_FROM_S = 0.5;

/** The stretches of a run at which a model's voltage is compared, rising. */
export function fitPoints({ grid }: PackRun): number[] {
  const { seconds, current, startS, loaded, full } = grid;
  const ends = new Float64Array(seconds.length);
  const drawn = new Float64Array(seconds.length);
  let [time, charge] = [startS, 0];
  for (let i = 0; i < seconds.length; i++) {
    time += seconds[i] as number;
    charge += (seconds[i] as number) * (current[i] as number);
    ends[i] = time;
    drawn[i] = charge;
  }
  const found = new Set<number>();
  const add = (i: number, to: number) => {
    if (i >= full && i < to) found.add(i);
  };
  const logSpaced = (from: number, to: number, count: number, since: number, end: number) => {
    for (let n = 0; n < count; n++) {
      const instant = since + from * pow(to / from, n / (count - 1));
      add(
        ends.findIndex((edge) => edge >= instant),
        end,
      );
    }
  };
  logSpaced(SOON_FROM_S, SOON_TO_S, SOON, 0, loaded);
  const total = drawn[loaded - 1] as number;
  const evenly = (from: number, count: number) => {
    for (let n = 0; n < count; n++) {
      const share = from + ((1 - from) * (n + 0.5)) / count;
      add(
        drawn.findIndex((one) => one >= share * total),
        loaded,
      );
    }
  };
  evenly(0, EVEN);
  evenly(LATE_SHARE, LATE);
  add(loaded - 1, loaded);
  if (loaded < seconds.length) {
    const end = ends[loaded - 1] as number;
    const left = (ends[seconds.length - 1] as number) - end;
    if (left > RECOVERY_FROM_S) logSpaced(RECOVERY_FROM_S, left, RECOVERY, end, seconds.length);
  }
  return [...found].sort((a, b) => a - b);
}

import type { Trace } from "../model.js";
import { fittedTo, type ModelFrame, type RunModel } from "./cell-source.js";
import type { FitGroup } from "./fit-groups.js";
import { loadedRun } from "./loaded-run.js";

/** Means in the place of a group's samples: near onset, and of the last groups, over which a source's end is told. */
const EARLY_MEANS = 3;
const LATE_MEANS = 16;
/** So many groups are late ones: a twentieth of the charge. */
const LATE_GROUPS = 6;
/** Groups within this time of onset are early ones, s. */
const EARLY_S = 12;
/** Samples of the rest that are looked at one by one, just before onset. */
const RISING = 20;
/** Means of the rest before those, of a rising load, and of what lies between the groups of the recovery. */
const RESTING_MEANS = 20;
const RISING_MEANS = 40;
const FALLING_MEANS = 8;

/**
 * A fitted run with the means of neighbours in place of its samples, some two hundred where there were thousands: for what a small change of its
 * trace or model changes in a translation. Every group that the model is fitted to stays a group of whole means, and the last sample under
 * load stays one of its own, so that the charge of the run stays what it was. It is fitted anew. null where that runs away.
 */
export function condensed(model: RunModel, frame: ModelFrame): RunModel | null {
  const { trace, run, groups } = model;
  const starts = startsOf(model);
  const reduced = meansFrom(trace, starts);
  const indexOf = (i: number) => Math.max(0, starts.indexOf(i + run.begins));
  const moved = loadedRun(reduced, frame, { full: indexOf(run.full), loadEnd: indexOf(run.loaded) });
  if (!moved) return null;
  const place = (i: number) => Math.max(0, indexOf(i) - moved.begins);
  const means: FitGroup[] = groups.map((group) => ({ ...group, from: place(group.from), to: place(group.to) }));
  return fittedTo(reduced, frame, moved, means);
}

/** First samples of all means, rising, and one past the last of them: indices of the trace. */
function startsOf({ trace, run, groups }: RunModel): number[] {
  const { time, full, loaded, begins } = run;
  const starts: number[] = [];
  let from = 0;
  const split = (to: number, means: number) => {
    const size = to - from;
    const count = Math.min(size, means);
    for (let n = 0; n < count; n++) starts.push(from + Math.floor((n * size) / count));
    from = Math.max(from, to);
  };
  const onset = trace.time[begins] === 0 ? begins : begins + 1;
  split(Math.max(0, onset - RISING), RESTING_MEANS);
  split(onset, RISING);
  split(begins + full, RISING_MEANS);
  const under = groups.filter(({ recovery }) => !recovery);
  under.forEach((group, n) => {
    const isEarly = (time[group.to - 1] as number) < EARLY_S;
    const isLate = n >= under.length - LATE_GROUPS;
    split(begins + group.to - (n === under.length - 1 ? 1 : 0), isLate ? LATE_MEANS : isEarly ? EARLY_MEANS : 1);
  });
  split(begins + loaded, 1);
  for (const group of groups) {
    if (!group.recovery) continue;
    split(begins + group.from, FALLING_MEANS);
    split(begins + group.to, EARLY_MEANS);
  }
  starts.push(from);
  return starts;
}

function meansFrom(trace: Trace, starts: readonly number[]): Trace {
  const means = (values: Float64Array) => {
    const found = new Float64Array(starts.length - 1);
    for (let block = 0; block < found.length; block++) {
      const [from, to] = [starts[block] as number, starts[block + 1] as number];
      let sum = 0;
      for (let i = from; i < to; i++) sum += values[i] as number;
      found[block] = sum / (to - from);
    }
    return found;
  };
  return { time: means(trace.time), voltage: means(trace.voltage), current: means(trace.current), temperature: null };
}

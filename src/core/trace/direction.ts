import { LogError } from "../table/log-error.js";
import { extremesOfMedians, medianOfThree } from "./median-of-three.js";

/** 1 where the log counts discharge as positive, -1 where it counts it as negative. */
export type DischargeSign = 1 | -1;

/** A change of the current by this share of its largest magnitude is a step that the voltage answers. */
const MIN_STEP_SHARE = 0.1;
/** A step and its answer are looked for over this long, s, and over this many samples at least. */
const STEP_S = 1;
const MIN_STEP_SAMPLES = 2;
/** Samples farther apart than this say nothing of one another, s. */
const MAX_STEP_S = 120;
/** Share of the steps, by their size, by which one direction must outweigh the other. */
const MIN_MAJORITY = 0.4;
/** A stretch under a current of one sign counts from this many samples on. */
const MIN_STRETCH_SAMPLES = 20;
/** Share of a stretch at either end of which the medians are compared. */
const END_SHARE = 0.1;
/** Least movement of the voltage along a stretch that tells discharge from charge, as a share of the voltage. */
const MIN_DRIFT_SHARE = 0.003;

/** What the pack says, and by how much of its voltage. */
interface Answer {
  readonly sign: DischargeSign;
  readonly volts: number;
}

/**
 * Which sign of the current is discharge, told by the pack (docs/definitions.md, 4): its voltage falls when discharge grows and rises
 * when charge does: at steps of the current, and along a stretch under current. Where both contradict each other, the larger movement decides.
 *
 * @param time rising strictly, s
 * @param voltage any point of sensing, V
 * @param current as logged, A
 * @returns 1 where no current flows, null where the voltage gives no answer
 */
export function dischargeSign(time: Float64Array, voltage: Float64Array, current: Float64Array): DischargeSign | null {
  const { least, most } = extremesOfMedians(current);
  const largest = Math.max(-least, most);
  if (!(largest > 0)) return 1;
  const volts = middles(voltage);
  const amperes = middles(current);
  const [steps, drift] = [bySteps(time, volts, amperes, largest), byDrift(volts, amperes, largest)];
  if (steps && drift) return (steps.volts > drift.volts ? steps : drift).sign;
  return (steps ?? drift)?.sign ?? null;
}

/** @throws LogError `log-direction-unknown` for a null */
export function knownDirection(sign: DischargeSign | null): DischargeSign {
  if (sign !== null) return sign;
  throw new LogError(
    "log-direction-unknown",
    'The log does not show which sign of the current is discharge: the voltage does not answer the current. Check that the right columns were read as voltage and current; if they are, say it in the column map, such as "sign": "discharge-positive" or "sign": "discharge-negative" beside the name of the current\'s column.',
  );
}

/** The values with every single sample that stands off its neighbours taken back to them. */
function middles(values: Float64Array): Float64Array {
  const smooth = new Float64Array(values.length);
  for (let i = 0; i < smooth.length; i++) smooth[i] = medianOfThree(values, i);
  return smooth;
}

/**
 * By how the voltage moves where the current changes by a step: each step weighs as much as it is large, most of them must agree, and the
 * voltage move by more than it does between them.
 */
function bySteps(time: Float64Array, volts: Float64Array, amperes: Float64Array, largest: number): Answer | null {
  const least = MIN_STEP_SHARE * largest;
  let [agreed, answered, stepped] = [0, 0, 0];
  let [squares, others] = [0, 0];
  let after = 0;
  for (let i = 0; i < time.length; i++) {
    const from = time[i] as number;
    while (after < time.length && (after < i + MIN_STEP_SAMPLES || (time[after] as number) < from + STEP_S)) after++;
    if (after === time.length) break;
    if ((time[after] as number) - from > MAX_STEP_S) continue;
    const risen = (amperes[after] as number) - (amperes[i] as number);
    const moved = (volts[after] as number) - (volts[i] as number);
    if (Math.abs(risen) >= least) {
      agreed -= risen * Math.sign(moved);
      answered -= risen * moved;
      stepped += Math.abs(risen);
    } else {
      squares += moved * moved;
      others++;
    }
  }
  const noise = others > 0 ? Math.sqrt(squares / others) : 0;
  if (!(stepped > 0 && Math.abs(agreed) >= MIN_MAJORITY * stepped && Math.abs(answered) > noise * stepped)) return null;
  return { sign: agreed > 0 ? 1 : -1, volts: Math.abs(answered) / stepped };
}

/** By how the voltage drifts along every stretch under a current of one sign. */
function byDrift(volts: Float64Array, amperes: Float64Array, largest: number): Answer | null {
  const least = MIN_STEP_SHARE * largest;
  let fallen = 0;
  let first = 0;
  for (let i = 1; i <= amperes.length; i++) {
    const sign = Math.sign(amperes[first] as number);
    const isLoaded = sign * (amperes[first] as number) >= least;
    if (isLoaded && i < amperes.length && sign * (amperes[i] as number) >= least) continue;
    if (isLoaded && i - first >= MIN_STRETCH_SAMPLES) {
      const width = Math.ceil(END_SHARE * (i - first));
      fallen += sign * (meanOf(volts, first, first + width) - meanOf(volts, i - width, i));
    }
    first = i;
  }
  const level = Math.abs(meanOf(volts, 0, volts.length));
  if (!(Math.abs(fallen) >= MIN_DRIFT_SHARE * level && level > 0)) return null;
  return { sign: fallen > 0 ? 1 : -1, volts: Math.abs(fallen) };
}

function meanOf(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i] as number;
  return sum / (to - from);
}

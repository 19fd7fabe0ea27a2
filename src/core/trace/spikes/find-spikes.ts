/** Samples on either side of a spike that have to agree for it to stand alone. */
const FLANK = 4;
/** Samples in a row that are still looked at as one spike. */
const MAX_SPIKE_SAMPLES = 3;
/** The flanks agree when their range is at most this share of the jump. */
const FLANK_SHARE = 0.25;
/** A channel may well come and go between samples that are farther apart, s. */
const MAX_DURATION_S = 10;

/** Samples in a row that jump away from their flanks, all to one side, and back. */
export interface Spike {
  readonly first: number;
  readonly samples: number;
  /** Upwards or downwards. */
  readonly sign: 1 | -1;
  /** Least distance from the flanks. */
  readonly jump: number;
}

/**
 * The spikes of a channel by definition 11a: one to three samples that stand off all of the four samples before and after them
 * by more than `minJump`, while those agree within a quarter of that.
 */
export function findSpikes(time: Float64Array, values: Float64Array, minJump: number): Spike[] {
  const found: Spike[] = [];
  for (let i = FLANK; i < values.length - FLANK; i++) {
    const change = (values[i] as number) - (values[i - 1] as number);
    if (Math.abs(change) <= minJump) continue;
    const spike = spikeAt(time, values, i, change > 0 ? 1 : -1, minJump);
    if (!spike) continue;
    found.push(spike);
    i += spike.samples - 1;
  }
  return found;
}

function spikeAt(time: Float64Array, values: Float64Array, first: number, sign: 1 | -1, minJump: number): Spike | null {
  for (let samples = 1; samples <= MAX_SPIKE_SAMPLES && first + samples + FLANK <= values.length; samples++) {
    const after = first + samples;
    if ((time[after] as number) - (time[first - 1] as number) > MAX_DURATION_S) return null;
    const flanks = [...values.subarray(first - FLANK, first), ...values.subarray(after, after + FLANK)];
    const nearest = Math.max(...flanks.map((value) => sign * value));
    const range = nearest - Math.min(...flanks.map((value) => sign * value));
    const jump = Math.min(...values.subarray(first, after).map((value) => sign * value)) - nearest;
    if (jump > minJump && range <= FLANK_SHARE * jump) return { first, samples, sign, jump };
  }
  return null;
}

/**
 * Whether another channel moves against a spike by less than `least` between the sample before it and the one after it, taken
 * from the farther side of its three samples before and after those.
 */
export function unanswered(other: Float64Array, { first, samples, sign }: Spike, least: number): boolean {
  const after = first + samples;
  const near = other.subarray(first - 1, after + 1).map((value) => -sign * value);
  const far = [...other.subarray(first - FLANK, first - 1), ...other.subarray(after + 1, after + FLANK)];
  return Math.max(...near) - Math.min(...far.map((value) => -sign * value)) < least;
}

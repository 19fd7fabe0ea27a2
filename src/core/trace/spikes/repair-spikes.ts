import { median } from "../../statistics/median.js";
import type { Counted } from "../choose-rows.js";
import { type Onset, restWindow } from "../onset.js";
import type { Samples } from "../samples.js";
import { indexAtOrAfter } from "../series.js";
import { findSpikes, type Spike, unanswered } from "./find-spikes.js";

/** Smallest jumps that are looked at: shares of the rest voltage and the load current, and more than coarse digits give. */
const VOLTAGE_SHARE = 0.02;
const MIN_VOLTS = 0.25;
const CURRENT_SHARE = 0.1;
const MIN_AMPERES = 1;
const MIN_KELVIN = 5;
/** A pack answers a load by at least this share of what it answers at the onset. */
const MIN_ANSWER = 0.1;
const ANSWER_WITHIN_S = 5;
/** One sample in so many may be repaired; one always may. */
const SAMPLES_FOR_ONE_REPAIRED = 1000;

export interface RepairedChannel {
  readonly channel: "voltage" | "current" | "temperature";
  readonly unit: "V" | "A" | "degC";
  readonly spikes: Counted;
  /** Of the first spike. */
  readonly before: number;
  readonly after: number;
}

export interface Spikes {
  readonly repaired: readonly RepairedChannel[];
  /** Spiked samples that stayed: more than may be repaired, or several in a row. */
  readonly left: Counted;
}

/**
 * Definition 11a: samples that no pack and no load gives, replaced by the line between their neighbours. A jump of the current
 * that the voltage answers is a load and stays, and so does one of which the voltage's noise does not let that be told.
 *
 * @param onset as taken from these samples
 * @param part the samples that figures are read from, `to` exclusive; spikes elsewhere are left alone
 * @returns the same samples when there is nothing to mend
 */
export function repairSpikes(
  samples: Samples,
  onset: Onset,
  part: { readonly from: number; readonly to: number },
): { samples: Samples; spikes: Spikes } {
  const found = spikesOf(samples, onset).map((of) => ({
    ...of,
    spikes: of.spikes.filter(({ first }) => first >= part.from && first < part.to),
  }));
  const single = found.map(({ spikes }) => spikes.filter((spike) => spike.samples === 1).map(({ first }) => first));
  const wide = found.flatMap(({ spikes }) => spikes.filter((spike) => spike.samples > 1).flatMap(indicesOf));
  const few = new Set(single.flat()).size <= Math.max(1, (part.to - part.from) / SAMPLES_FOR_ONE_REPAIRED);
  const left = countedAt(samples, few ? wide : [...wide, ...single.flat()]);
  if (!few || single.every((at) => at.length === 0)) return { samples, spikes: { repaired: [], left } };
  const repaired: RepairedChannel[] = [];
  const channels: Partial<Record<RepairedChannel["channel"], Float64Array>> = {};
  found.forEach(({ channel, unit, values }, slot) => {
    const at = single[slot] as number[];
    const first = at[0];
    if (first === undefined) return;
    const straight = straightened(samples.time, values, at);
    channels[channel] = straight;
    const [before, after] = [values[first] as number, straight[first] as number];
    repaired.push({ channel, unit, spikes: countedAt(samples, at), before, after });
  });
  return { samples: { ...samples, ...channels }, spikes: { repaired, left } };
}

interface Found extends Pick<RepairedChannel, "channel" | "unit"> {
  readonly values: Float64Array;
  readonly spikes: readonly Spike[];
}

function spikesOf(samples: Samples, onset: Onset): Found[] {
  const { time, voltage, current, temperature } = samples;
  const found: Found[] = [];
  const answer = answerOf(samples, onset);
  if (answer) {
    const { restVolts, ohm } = answer;
    const minVolts = Math.max(MIN_VOLTS, VOLTAGE_SHARE * restVolts);
    const minAmperes = Math.max(MIN_AMPERES, CURRENT_SHARE * onset.loadCurrentA);
    // An answer that would be lost in coarse digits tells nothing.
    const ofVoltage = findSpikes(time, voltage, Math.max(minVolts, minAmperes * ohm)).filter((spike) =>
      unanswered(current, spike, (MIN_ANSWER * spike.jump) / ohm),
    );
    const ofCurrent = findSpikes(time, current, Math.max(minAmperes, minVolts / ohm)).filter((spike) =>
      unanswered(voltage, spike, MIN_ANSWER * spike.jump * ohm),
    );
    found.push({ channel: "voltage", unit: "V", values: voltage, spikes: ofVoltage });
    found.push({ channel: "current", unit: "A", values: current, spikes: ofCurrent });
  }
  if (temperature) {
    const spikes = findSpikes(time, temperature, MIN_KELVIN);
    found.push({ channel: "temperature", unit: "degC", values: temperature, spikes });
  }
  return found;
}

/** The rest voltage, and how far the voltage falls per A when the load comes on; null without a rest or a fall. */
function answerOf({ time, voltage, current }: Samples, onset: Onset): { restVolts: number; ohm: number } | null {
  const rest = restWindow(time, current, onset);
  if (!rest) return null;
  const restVolts = median(voltage.subarray(rest.from, rest.to));
  const from = indexAtOrAfter(time, onset.instant);
  const to = indexAtOrAfter(time, onset.instant + ANSWER_WITHIN_S);
  const underLoad = voltage
    .subarray(from, to)
    .filter((_, i) => (current[from + i] as number) >= onset.loadCurrentA / 2);
  const ohm = (restVolts - median(underLoad)) / onset.loadCurrentA;
  return ohm > 0 ? { restVolts, ohm } : null;
}

const indicesOf = ({ first, samples }: Spike): number[] => Array.from({ length: samples }, (_, i) => first + i);

/** How many samples, and the line of the first. */
function countedAt({ lines }: Samples, indices: readonly number[]): Counted {
  const all = [...new Set(indices)].sort((a, b) => a - b);
  const line = all.length > 0 ? lines[all[0] as number] : undefined;
  return { count: all.length, first: line === undefined ? null : { line } };
}

/** The values with those at the given samples on the line between their neighbours. */
function straightened(time: Float64Array, values: Float64Array, at: readonly number[]): Float64Array {
  const straight = Float64Array.from(values);
  for (const i of at) {
    const [t0, t1, t2] = [time[i - 1] as number, time[i] as number, time[i + 1] as number];
    const [before, after] = [values[i - 1] as number, values[i + 1] as number];
    straight[i] = before + ((after - before) * (t1 - t0)) / (t2 - t0);
  }
  return straight;
}

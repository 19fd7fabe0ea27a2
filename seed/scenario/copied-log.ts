import type { BenchLog, BenchModel } from "../simulator/bench.js";

const RATE_HZ = 10;
const CUT_SECONDS = 1;
const VOLTAGE_FACTOR = 0.997;
const CURRENT_FACTOR = 1.018;
const WARMER_K = 0.4;

/** Another's log cut short, sampled anew, scaled and written in the digits of a bench, so that it looks like a log of that one. */
export function passedOff(
  { timeSeconds, voltage, current, temperature }: BenchLog,
  bench: Pick<BenchModel, "resolution">,
): BenchLog {
  const lastSeconds = (timeSeconds.at(-1) as number) - CUT_SECONDS;
  const instants = Array.from(
    { length: Math.floor((lastSeconds - CUT_SECONDS) * RATE_HZ) },
    (_, i) => CUT_SECONDS + (i + 0.5) / RATE_HZ,
  );
  const anew = (channel: readonly number[], change: (value: number) => number, step: number) =>
    instants.map((t) => Math.round(change(between(timeSeconds, channel, t)) / step) * step);
  const { volts, amperes, kelvin } = bench.resolution;
  return {
    timeSeconds: instants.map((t) => t - CUT_SECONDS),
    voltage: anew(voltage, (value) => VOLTAGE_FACTOR * value, volts),
    current: anew(current, (value) => CURRENT_FACTOR * value, amperes),
    temperature: temperature && anew(temperature, (value) => value + WARMER_K, kelvin),
    cells: null,
  };
}

function between(time: readonly number[], channel: readonly number[], instant: number): number {
  const next = Math.max(
    1,
    time.findIndex((t) => t >= instant),
  );
  const [t0, t1] = [time[next - 1] as number, time[next] as number];
  const [v0, v1] = [channel[next - 1] as number, channel[next] as number];
  return v0 + ((v1 - v0) * (instant - t0)) / (t1 - t0);
}

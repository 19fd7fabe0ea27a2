import type { LogChannels } from "../channels/read-log.js";
import type { BenchFacts, PackFacts, Trace } from "../model.js";
import { median, medianInPlace } from "../statistics/median.js";
import { refuseMarkedRange } from "./beyond-range.js";
import { ZERO_REST_SECONDS } from "./current-zero.js";
import { drawnOf, subtract } from "./drawn.js";
import type { NormalisedRun, ReadPart } from "./normalised-run.js";
import { normalisingAdjustments } from "./normalising-adjustments.js";
import { type Onset, restWindow } from "./onset.js";
import { refuseOverRange } from "./over-range.js";
import { refuseProbesOverRange } from "./probes/probe-over-range.js";
import { lacksTemperature, type Samples } from "./samples.js";
import { senseResistanceOhm } from "./sense.js";
import { indexAtOrAfter } from "./series.js";
import { findStop, lastLoadedIndex, type StopLimits, UNLOADED_SHARE } from "./stop.js";

/** How long after the load the log is read on, s: the recovery tells of the pack at the end of the run. */
const RECOVERY_SECONDS = 10;

/**
 * Turns the channels of a log into a trace by definitions 1 to 18.
 *
 * @throws LogError `log-no-load` when no discharge current is in the log, `log-too-short` when too few rows are usable,
 * `log-over-range` when a sensor or a probe stands at the end of its range
 */
export function normalise(
  channels: LogChannels,
  pack: PackFacts,
  bench: BenchFacts,
  limits: StopLimits,
): NormalisedRun {
  const drawn = drawnOf(channels, pack.series, bench.current, readPart);
  const { samples, spikes, repeats, zero, current, onset, part } = drawn;
  const senseOhm = senseResistanceOhm(bench.sense);
  const voltage = senseOhm ? compensateLeads(samples.voltage, current, senseOhm) : samples.voltage;
  const time = subtract(samples.time, onset.instant);
  const temperature = lacksTemperature(samples, part.from, part.to - 1) ? null : samples.temperature;
  const trace: Trace = { time, voltage, current, temperature };
  const stop = findStop(trace, onset.loadCurrentA, limits);
  const loaded = { restFrom: part.from, from: indexAtOrAfter(time, 0), to: indexAtOrAfter(time, stop.loadEndS) + 1 };
  refuseMarkedRange(samples.beyondRange, samples, { ...loaded, loadCurrentA: onset.loadCurrentA });
  refuseOverRange(samples, loaded, bench.load.kind);
  if (temperature) refuseProbesOverRange(samples, loaded, part.to);
  const rest = restWindow(samples.time, current, onset);
  const summed = channels.voltage === null ? { count: samples.cells.length, cells: samples.cells } : null;
  const clippedS = stop.cutoffS === null ? 0 : Math.max(0, stop.loadEndS - stop.cutoffS);
  return {
    trace,
    readings: {
      time: samples.time,
      voltage: samples.voltage,
      current: samples.current,
      onsetS: onset.instant,
      offsetA: zero?.subtracted ? zero.offsetA : null,
      leadsOhm: senseOhm || null,
    },
    samples,
    summary: {
      samples: time.length,
      rateHz: repeats
        ? 1 / repeats.intervalS
        : samplingRate(samples.time, indexAtOrAfter(time, 0), indexAtOrAfter(time, stop.endS)),
      durationS: stop.loadEndS,
      cutoffS: stop.cutoffS,
      stop: stop.reason,
    },
    stop,
    loadCurrentA: onset.loadCurrentA,
    riseS: onset.riseSeconds,
    rest: rest && { volts: median(voltage.subarray(rest.from, rest.to)), samples: rest.to - rest.from },
    startTemperatureC: startTemperature(trace, rest),
    zero,
    senseOhm,
    summed,
    largestGap: largestGap(time, stop.endS),
    clippedS,
    part,
    recoveryS: recoverySeconds(trace, stop.loadEndS, onset.loadCurrentA),
    spikes,
    repeats,
    instantS: repeats || channels.joined ? Math.max(repeats?.rowS ?? 0, channels.joined?.intervalS ?? 0) : null,
    joined: channels.joined ?? null,
    adjustments: normalisingAdjustments({
      samples,
      spikes,
      repeats,
      zero,
      senseOhm,
      summed,
      trace,
      series: pack.series,
      stated: bench.voltage,
      loadCurrentA: onset.loadCurrentA,
      stop,
      clippedS,
    }),
  };
}

/** From the rest that zero and rest voltage are read from to the end of the recovery. */
function readPart({ time, current, unusable, duplicates, unordered }: Samples, onset: Onset): ReadPart {
  const { instant, riseFrom, loadCurrentA } = onset;
  const from = indexAtOrAfter(time, (riseFrom ?? instant) - ZERO_REST_SECONDS);
  const last = lastLoadedIndex(time, current, loadCurrentA, indexAtOrAfter(time, instant));
  const to = indexAtOrAfter(time, (time[last] as number) + RECOVERY_SECONDS);
  const [first, end] = [from === 0 ? 0 : from + 1, to];
  return {
    from,
    to,
    unusable: unusable.between(first, end),
    duplicates: duplicates.between(first, end),
    unordered: unordered.between(first, end),
  };
}

function recoverySeconds({ time, current }: Trace, loadEndS: number, loadCurrentA: number): number {
  let last = indexAtOrAfter(time, loadEndS);
  while (last + 1 < time.length && (current[last + 1] as number) < UNLOADED_SHARE * loadCurrentA) last++;
  return (time[Math.min(last, time.length - 1)] as number) - loadEndS;
}

function startTemperature(trace: Trace, rest: { from: number; to: number } | null): number | null {
  if (!trace.temperature) return null;
  if (rest) return median(trace.temperature.subarray(rest.from, rest.to));
  return trace.temperature[indexAtOrAfter(trace.time, 0)] ?? null;
}

/** Median of 1/dt between the samples `from` and `to`, Hz; taken from the log's own times, which are exact decimals. */
function samplingRate(logTime: Float64Array, from: number, to: number): number {
  const last = Math.max(1, Math.min(to, logTime.length - 1));
  const first = Math.min(from, last - 1);
  const rates = new Float64Array(last - first);
  let before = logTime[first] as number;
  for (let i = 0; i < rates.length; i++) {
    const now = logTime[first + i + 1] as number;
    rates[i] = 1 / (now - before);
    before = now;
  }
  return medianInPlace(rates);
}

function largestGap(time: Float64Array, endS: number): NormalisedRun["largestGap"] {
  let seconds = 0;
  let fromS = 0;
  const first = Math.max(1, indexAtOrAfter(time, 0));
  let before = time[first - 1] as number;
  for (let i = first; i < time.length && before < endS; i++) {
    const now = time[i] as number;
    if (now - before > seconds) {
      seconds = now - before;
      fromS = before;
    }
    before = now;
  }
  return { seconds, fromS };
}

function compensateLeads(sensed: Float64Array, current: Float64Array, senseOhm: number): Float64Array {
  const voltage = new Float64Array(sensed.length);
  for (let i = 0; i < voltage.length; i++) voltage[i] = (sensed[i] as number) + (current[i] as number) * senseOhm;
  return voltage;
}

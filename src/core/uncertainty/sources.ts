import type { EvaluationInput } from "../figures/evaluation-input.js";
import type { BenchFacts } from "../model.js";
import { plus, plusTimes, times } from "../numerics/each-value.js";
import type { MeasuredRun } from "../trace/normalised-run.js";
import { currentLag, missedCurrent } from "./current-lag.js";
import { onsetUncertainty } from "./instants.js";
import { type Noise, noiseOfReading, rectangular } from "./noise.js";

/**
 * One thing that is not known exactly and moves the whole run together. `move` gives the subject with that thing moved by
 * `by` standard uncertainties.
 */
export interface Source {
  readonly name: string;
  /** Moved backwards only, by `move(1)`, for what lies forward was logged without load. */
  readonly oneWay?: boolean;
  /** Moved by the half-width of a rectangular distribution, since what it does to a figure is not in proportion. */
  readonly byHalfWidth?: boolean;
  /** Moves nothing that is read under a standard load. */
  readonly ownOnly?: boolean;
  /** The subject itself when there is nothing to move. */
  readonly move: (by: number) => EvaluationInput;
}

/** Half-width of a declared sense resistance, and of one computed from gauge and length, as shares (common practice). */
const DECLARED_SENSE_SHARE = 0.05;
const COMPUTED_SENSE_SHARE = 0.1;
/** Half-width of a logger's clock, % of the time, where the bench states none (common practice). */
const CLOCK_PERCENT = 0.1;

/** Everything that moves a run as a whole: instruments by their stated accuracy, sense resistance, timing. */
export function sourcesOf(
  subject: EvaluationInput,
  run: MeasuredRun,
  bench: BenchFacts,
  { noise, cutoffS }: { readonly noise: Noise; readonly cutoffS: number },
): Source[] {
  const { trace } = subject;
  const senseOhm = run.senseOhm ?? 0;
  const voltageMoved = (voltage: Float64Array, rest: (volts: number) => number): EvaluationInput => ({
    ...subject,
    trace: { ...trace, voltage },
    rest: subject.rest && { ...subject.rest, volts: subject.rest.volts + rest(subject.rest.volts) },
  });
  const currentMoved = (change: Float64Array): EvaluationInput => ({
    ...subject,
    trace: {
      ...trace,
      current: plusTimes(trace.current, 1, change),
      voltage: senseOhm === 0 ? trace.voltage : plusTimes(trace.voltage, senseOhm, change),
    },
  });
  const temperatureMoved = (by: number): EvaluationInput => {
    if (!trace.temperature || by === 0) return subject;
    const temperature = plus(trace.temperature, by);
    const { startTemperatureC } = subject;
    return {
      ...subject,
      trace: { ...trace, temperature },
      startTemperatureC: startTemperatureC === null ? null : startTemperatureC + by,
    };
  };
  const voltageGain = rectangular(bench.voltage.percent / 100);
  // One meter reads all cells, and errs by the same in each.
  const voltageOffset = rectangular((run.summed?.count ?? 1) * bench.voltage.offset);
  const currentGain = rectangular(bench.current.percent / 100);
  const currentOffset = zeroUncertainty(run, bench);
  const senseUncertainty = rectangular(senseOhm * senseShare(bench));
  const restRead = { channel: "voltage", value: 0, medianOf: subject.rest?.samples ?? 1 } as const;
  const restNoise = subject.rest ? noiseOfReading(restRead, noise) : 0;
  const onset = onsetUncertainty(run, noise);
  const lag = currentLag(run, noise);
  const clock = rectangular((bench.clockPercent ?? CLOCK_PERCENT) / 100);
  const secondPulse = subject.pulses ? rectangular(0.5 / run.summary.rateHz) : 0;
  return [
    {
      name: "voltage gain",
      move: (by) =>
        voltageMoved(plusTimes(trace.voltage, by * voltageGain, trace.voltage), (volts) => by * voltageGain * volts),
    },
    {
      name: "voltage offset",
      move: (by) => voltageMoved(plus(trace.voltage, by * voltageOffset), () => by * voltageOffset),
    },
    {
      name: "rest voltage",
      move: (by) =>
        subject.rest ? { ...subject, rest: { ...subject.rest, volts: subject.rest.volts + by * restNoise } } : subject,
    },
    { name: "current gain", move: (by) => currentMoved(times(trace.current, by * currentGain)) },
    {
      name: "current offset",
      move: (by) => currentMoved(new Float64Array(trace.current.length).fill(by * currentOffset)),
    },
    {
      name: "temperature offset",
      ownOnly: true,
      move: (by) => temperatureMoved(by * rectangular(bench.temperature?.offset ?? 0)),
    },
    {
      name: "sense resistance",
      move: (by) =>
        senseUncertainty === 0
          ? subject
          : voltageMoved(plusTimes(trace.voltage, by * senseUncertainty, trace.current), () => 0),
    },
    {
      name: "onset",
      move: (by) => ({ ...subject, trace: { ...trace, time: plus(trace.time, -(by * onset)) } }),
    },
    {
      name: "lag of the current",
      oneWay: true,
      byHalfWidth: true,
      move: (by) => {
        if (!lag) return subject;
        const moved = currentMoved(times(missedCurrent(trace, lag), by)).trace;
        return { ...subject, trace: { ...moved, time: plus(trace.time, by * lag.lagS) } };
      },
    },
    {
      name: "clock",
      move: (by) => ({ ...subject, trace: { ...trace, time: times(trace.time, 1 + by * clock) } }),
    },
    {
      name: "cutoff",
      oneWay: true,
      ownOnly: true,
      move: (by) => (cutoffS === 0 ? subject : { ...subject, cutoffShiftS: -by * cutoffS }),
    },
    {
      name: "second pulse",
      ownOnly: true,
      move: (by) => (secondPulse === 0 ? subject : { ...subject, pulseShiftS: by * secondPulse }),
    },
  ];
}

/** What is left of the current's offset: the stated one, or the noise and digits of its own zero where that is known. */
const zeroUncertainty = ({ zero }: MeasuredRun, bench: BenchFacts): number =>
  zero?.isKnown ? zero.uncertaintyA : rectangular(bench.current.offset);

function senseShare(bench: BenchFacts): number {
  return bench.sense.resistanceMilliohm != null ? DECLARED_SENSE_SHARE : COMPUTED_SENSE_SHARE;
}

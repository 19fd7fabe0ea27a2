import { createRandom } from "../../../../seed/simulator/random.js";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { type RunChanges, runUnderTest } from "../../../../test/support/run-under-test.js";

const { trace, samples } = runUnderTest().run;
const seconds = trace.time;

/** A spreadsheet's formula: a pack's voltage with every digit that a double has, and the current of a resistance. */
const volts = seconds.map((t) => (t < 0 ? 16.8 : 14.2 + 0.8 * Math.exp(-t / 30) - 0.01 * t - 0.3 * Math.exp(t - 101)));
const amperes = volts.map((value, i) => ((seconds[i] as number) < 0 ? 0 : value / 0.145));

const logged = (voltage: Float64Array, current: Float64Array): RunChanges => ({
  samples: { ...samples, voltage, current },
});
const inSteps = (values: Float64Array, step: number) => values.map((value) => Math.round(value / step) * step);
const withNoise = (values: Float64Array, deviation: number, seed: number) => {
  const random = createRandom(seed);
  return values.map((value) => value + deviation * random.gaussian());
};
/** Every tenth sample measured, the others on the line between: what some loggers write of a slow sensor. */
const filledIn = (values: Float64Array) =>
  values.map((_, i) => {
    const before = i - (i % 10);
    const [left, right] = [values[before] as number, values[Math.min(before + 10, values.length - 1)] as number];
    return left + ((right - left) * (i % 10)) / 10;
  });
/** The formula's voltage from the onset to `untilS`, then a measured one. */
const partly = (untilS: number) => {
  const measured = withNoise(volts, 0.002, 7);
  return logged(
    volts.map((value, i) => ((seconds[i] as number) < untilS ? value : (measured[i] as number))),
    withNoise(amperes, 0.1, 8),
  );
};
/** A filter that settles on a current which a coarse converter reads without noise, written with all digits. */
const settling = seconds.map((t) => (t < 0 ? 0 : 100 - 100 * Math.exp(-3 * (t + 0.05))));
const jittered = withNoise(seconds, 0.02, 9);

/** An ideal converter over the whole range of the reading leaves a 2^24th of it, over sqrt(12). */
const BITS_24 = 16.8 / 2 ** 24;

ruleCases("noise-floor", {
  passing: {
    "coarse digits, 0.01 V and 0.1 A": logged(inSteps(volts, 0.01), inSteps(amperes, 0.1)),
    "an ideal converter of 24 bits": logged(inSteps(volts, BITS_24), inSteps(amperes, BITS_24 * 7)),
    "codes of a converter written with fifteen digits": logged(inSteps(volts, 0.0048281), inSteps(amperes, 0.073241)),
    "a thousand readings averaged to a sample": logged(
      withNoise(volts, 0.003 / Math.sqrt(1000), 1),
      withNoise(amperes, 0.1 / Math.sqrt(1000), 2),
    ),
    "single precision": logged(volts.map(Math.fround), amperes.map(Math.fround)),
    "a slow sensor filled in between its samples": logged(
      filledIn(inSteps(volts, 0.001)),
      filledIn(inSteps(amperes, 0.01)),
    ),
    "a filter that settles on a steady current": logged(withNoise(volts, 0.002, 10), settling),
    "a current that an electronic load states and does not measure": logged(
      withNoise(volts, 0.002, 3),
      amperes.map((_, i) => ((seconds[i] as number) < 0 ? 0 : 100)),
    ),
  },
  failing: {
    "a formula with all digits": logged(volts, amperes),
    "a formula with ten digits": logged(inSteps(volts, 1e-8), inSteps(amperes, 1e-7)),
    "a computed voltage under a measured current": logged(volts, withNoise(amperes, 0.1, 4)),
    "a computed current under a measured voltage": logged(withNoise(volts, 0.002, 5), amperes),
    "a formula at uneven instants": {
      run: { trace: { ...trace, time: jittered } },
      samples: { ...samples, voltage: jittered.map((t) => 14.65 - 0.0145 * t + 0.8 * Math.exp(-t / 30)) },
    },
  },
  boundary: {
    "a fifth of the run": [partly(20), partly(30)],
    "a hundredth of a millionth": [
      logged(withNoise(volts, 2.2e-8 * 14.5, 6), amperes.map(Math.fround)),
      logged(withNoise(volts, 4e-9 * 14.5, 6), amperes.map(Math.fround)),
    ],
  },
  notAssessable: { "a run of 1.5 s": { stop: { endS: 1.5, loadEndS: 1.5, cutoffS: 1.5 } } },
});

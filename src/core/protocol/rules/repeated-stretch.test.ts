import { createRandom } from "../../../../seed/simulator/random.js";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { type RunChanges, runUnderTest } from "../../../../test/support/run-under-test.js";

const { trace, samples } = runUnderTest().run;
const random = createRandom(41);
const noisy = (values: Float64Array, digit: number, noise: number) =>
  values.map((value) => Math.round((value + noise * random.gaussian()) / digit) * digit);
const voltage = noisy(trace.voltage, 0.001, 0.004);
const current = noisy(trace.current, 0.01, 0.15);

/** The log with `count` samples from sample 100 on written again from sample 600 on. */
const repeated = (count: number): RunChanges => {
  const again = (values: Float64Array) =>
    values.map((value, i) => (i >= 600 && i < 600 + count ? (values[i - 500] as number) : value));
  return { samples: { ...samples, voltage: again(voltage), current: again(current) } };
};

/** Samples that stand again before 120 of them have changed in both channels at once. */
const firstEnough = () => {
  let changes = 0;
  for (let i = 101; i < 600; i++) {
    if (voltage[i] !== voltage[i - 1] && current[i] !== current[i - 1]) changes++;
    if (changes === 120) return i - 100;
  }
  return 0;
};

ruleCases("repeated-stretch", {
  passing: {
    "a log with noise": repeated(0),
    "a log of one voltage and one current": {
      samples: { ...samples, voltage: voltage.map(() => 14), current: current.map(() => 100) },
    },
    "coarse digits that go to and fro by chance": {
      samples: {
        ...samples,
        voltage: noisy(
          voltage.map(() => 14),
          0.1,
          0.05,
        ),
        current: noisy(
          current.map(() => 100),
          1,
          0.5,
        ),
      },
    },
  },
  failing: { "40 s written twice": repeated(400) },
  boundary: { "120 changes of both": [repeated(firstEnough() - 5), repeated(firstEnough() + 5)] },
  notAssessable: "never",
});

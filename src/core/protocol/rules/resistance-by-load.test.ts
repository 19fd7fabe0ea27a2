import { createRandom } from "../../../../seed/simulator/random.js";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { type RunChanges, runUnderTest } from "../../../../test/support/run-under-test.js";
import { instants, traceOf } from "../../../../test/support/traces.js";

const OHM = 0.02;
const END_S = 60;

/** A throttle at full, at `reducedA` from 20 s to 25 s, then at full again; the resistance is `share` of the first one above `aboveA`. */
function throttled(share: number, { aboveA = 60, noise = 1e-5, reducedA = 50, seed = 1 } = {}): RunChanges {
  const amperes = (t: number) => (t < 0 ? 0 : t >= 20 && t < 25 ? reducedA : 100);
  const volts = (t: number) => {
    const amps = amperes(t);
    return 16.8 - OHM * (Math.min(amps, aboveA) + share * Math.max(0, amps - aboveA)) - 0.01 * Math.max(0, t);
  };
  const exact = traceOf(instants(-3, END_S, 10), { volts, amperes });
  const random = createRandom(seed);
  const noisy = (values: Float64Array) => values.map((value) => value + noise * random.gaussian());
  const trace = { ...exact, voltage: noisy(exact.voltage), current: noisy(exact.current) };
  return {
    run: { trace, loadCurrentA: 100, rest: { volts: 16.8, samples: 10 } },
    stop: { endS: END_S, loadEndS: END_S, cutoffS: END_S },
  };
}

/** The same pack with a voltage sensor that reads nothing below 15.2 V, 1.6 V under rest. */
const clipped = throttled(0);

/** A throttle that opens to 40 A, and at 20 s to 100 A, where the pack has `percent` of the resistance that it had before. */
function opened(percent: number): RunChanges {
  const { run, stop } = throttled(1);
  const random = createRandom(2);
  const noise = () => 1e-5 * random.gaussian();
  const trace = traceOf(instants(-3, END_S, 10), {
    amperes: (t) => noise() + (t < 0 ? 0 : t < 20 ? 40 : 100),
    volts: (t) => noise() + 16.8 - OHM * (t < 0 ? 0 : t < 20 ? 40 : 40 + (60 * percent) / 100),
  });
  return { run: { ...run, trace, loadCurrentA: 40 }, stop: { ...stop } };
}

const { trace } = runUnderTest().run;

ruleCases("resistance-by-load", {
  passing: {
    "a resistance that is the same at every load": throttled(1),
    "one that falls by a quarter at the higher load": opened(75),
    "a noisy sensor": throttled(1, { noise: 0.2, seed: 5 }),
  },
  failing: { "a sensor at the end of its range": clipped },
  boundary: { "half of it": [opened(50.1), opened(49)] },
  notAssessable: {
    "a steady load": { run: { trace } },
    "a throttle that comes back from a fifth, no higher than it was opened": throttled(1, { reducedA: 20 }),
    "noise that hides the step": throttled(1, { noise: 1.3 }),
    "a full LiFePO4 pack, whose first step takes its surface charge": {
      ...throttled(1),
      pack: { chemistry: "lifepo4" },
    },
  },
});

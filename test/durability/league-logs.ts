import { drawInstrumentErrors, measure } from "../../seed/simulator/bench.js";
import { simulateDischarge } from "../../seed/simulator/discharge.js";
import { createPackModel } from "../../seed/simulator/pack-model.js";
import { createRandom } from "../../seed/simulator/random.js";
import type { BenchFacts } from "../../src/core/model.js";

export const AMBIENT_C = 21;
/** Every fourth bench logs slowly. */
const RATES_HZ = [20, 25, 20, 10];

export const BENCH: BenchFacts = {
  load: { kind: "throttle" },
  voltage: { percent: 0.2, offset: 0.01 },
  current: { percent: 0.5, offset: 0.1 },
  temperature: { offset: 1 },
  sense: { point: "pack" },
};

/** The log of a run that differs from all others: its load, its noise and its instruments' errors are its own. */
export function logNumber(number: number, ratedCapacityMah: number): string {
  const random = createRandom(7_000 + number);
  const capacityAh = (ratedCapacityMah / 1000) * (1 + 0.02 * random.gaussian());
  const loadIt = random.between(18, 22);
  const run = simulateDischarge({
    pack: createPackModel({
      chemistry: "lipo",
      series: 4,
      trueCapacityAh: capacityAh,
      resistanceMilliohmAh: 14 * (1 + 0.02 * random.gaussian()),
      massGrams: 0.105 * ratedCapacityMah,
    }),
    demand: { kind: "throttle", level: (4 * 3.7) / ((loadIt * ratedCapacityMah) / 1000), riseSeconds: 0.3 },
    ambientC: AMBIENT_C,
    startC: AMBIENT_C,
    chargeMissingC: 0.005 * capacityAh * 3600,
    restSeconds: 4,
    stop: { volts: 4 * 3.24, delaySeconds: 0.8, latestSeconds: 600 },
    afterSeconds: 4,
    stepSeconds: 0.02,
  });
  const bench = {
    facts: BENCH,
    rateHz: RATES_HZ[number % RATES_HZ.length] as number,
    jitterShare: 0.02,
    noise: { volts: 0.004, amperes: 0.1, kelvin: 0.05 },
    resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
    errors: drawInstrumentErrors(BENCH, 0.4, random),
  };
  const { timeSeconds, voltage, current, temperature } = measure(
    run,
    bench,
    { currentZeroA: 0, cellImbalance: [] },
    random,
  );
  const rows = timeSeconds.map((t, i) =>
    [t.toFixed(3), voltage[i]?.toFixed(3), current[i]?.toFixed(2), temperature?.[i]?.toFixed(1)].join(","),
  );
  return `time_s,voltage_v,current_a,temperature_c\n${rows.join("\n")}\n`;
}

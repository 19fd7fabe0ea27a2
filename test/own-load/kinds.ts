import { CELL_VOLTS } from "../../seed/simulator/chemistry.js";
import type { Random } from "../../seed/simulator/random.js";
import { type DrawnPack, drawDemand, spread } from "../monte-carlo/population.js";
import type { HonestKind } from "./honest-run.js";

const oneIt = ({ facts }: DrawnPack) => facts.ratedCapacityMah / 1000;

/** Two pulses at 10 to 12 Hz, the second one held for 1.04 to 1.09 s. */
export const SHORT_PULSES: HonestKind = {
  protocol: "two-pulse",
  load: "constant-current",
  draw: (pack, random) => {
    const itA = oneIt(pack);
    return {
      plan: {
        demand: {
          kind: "constant-current",
          level: 0.2 * itA,
          riseSeconds: 0.01,
          steps: [{ fromSeconds: 10, level: itA }],
        },
        chargeMissingC: 0.4 * itA * 3600,
        restSeconds: random.between(2, 5),
        stop: { volts: 0, delaySeconds: 0, latestSeconds: 10 + random.between(1.04, 1.09) },
        afterSeconds: 8,
        stepSeconds: 0.005,
      },
      rateHz: random.between(10, 12),
      voltage: { percent: 0.05, offset: 0.003 },
      current: { percent: 0.5, offset: 0.01 * itA },
      noiseA: 0.001 * itA,
      digitA: 0.001,
      lagSamples: random.between(0, 0.9),
      conditions: { stateOfChargePercent: 60 },
    };
  },
};

/** Five hours at 0.2 It; the sensor's offset is anywhere within its stated 2 to 12 % of the load. */
export const RATED: HonestKind = {
  protocol: "rated-capacity",
  load: "constant-current",
  draw: (pack, random) => {
    const amperes = 0.2 * oneIt(pack);
    const { chemistry, series } = pack.facts;
    const cutoff = { lipo: 3, lihv: 3, liion: 2.75, lifepo4: 2.5 }[chemistry];
    return {
      plan: {
        demand: { kind: "constant-current", level: amperes, riseSeconds: 0.5 },
        chargeMissingC: pack.chargeMissingC,
        restSeconds: random.between(40, 90),
        stop: { volts: series * (cutoff - 0.03), delaySeconds: 10, latestSeconds: 8 * 3600 },
        afterSeconds: 30,
        stepSeconds: 0.5,
      },
      rateHz: spread(0.21, 1, random),
      voltage: { percent: 0.1, offset: 0.01 },
      current: { percent: 0.5, offset: Math.min(0.1, amperes * spread(0.02, 0.12, random)) },
      noiseA: amperes * spread(0.001, 0.01, random),
      digitA: random.uniform() < 0.5 ? 0.001 : 0.01,
      conditions: {},
    };
  },
};

/** Full loads of any kind, whose current lags behind the voltage by part of a sample. */
export const LAGGING: HonestKind = {
  protocol: "full-load",
  load: "throttle",
  draw: (pack, random) => {
    const { chemistry, series } = pack.facts;
    return {
      plan: {
        demand: { ...drawDemand(pack, random.between(0.9, 1.1), random), riseSeconds: spread(0.05, 0.5, random) },
        chargeMissingC: pack.chargeMissingC,
        restSeconds: random.between(2, 6),
        stop: stopOf(series * CELL_VOLTS[chemistry].cutoff, series, random),
        afterSeconds: 8,
        stepSeconds: 0.01,
      },
      rateHz: spread(4.91, 12, random),
      voltage: { percent: 0.2, offset: 0.01 },
      current: { percent: 1, offset: 0.2 },
      noiseA: 0.1,
      digitA: 0.1,
      lagSamples: random.between(0, 1),
      conditions: { restMinutes: 30 },
    };
  },
};

/** Steps of a ladder that their bench ends at the cutoff, or when its own probe reads 60 degC. */
export const LADDER_STEPS: HonestKind = {
  protocol: "current-ladder",
  load: "constant-current",
  draw: (pack, random) => {
    const { chemistry, series } = pack.facts;
    const amperes = oneIt(pack) * spread(10, 45, random);
    return {
      plan: {
        demand: { kind: "constant-current", level: amperes, riseSeconds: spread(0.05, 0.5, random) },
        chargeMissingC: pack.chargeMissingC,
        restSeconds: random.between(3, 10),
        stop: { volts: series * CELL_VOLTS[chemistry].cutoff, delaySeconds: 0, latestSeconds: 3600 },
        afterSeconds: 10,
        stepSeconds: 0.02,
      },
      rateHz: spread(1, 5, random),
      voltage: { percent: 0.2, offset: 0.01 },
      current: { percent: 0.5, offset: 0.2 },
      noiseA: 0.001 * amperes,
      digitA: 0.01,
      endsAtReadingC: 60,
      conditions: { setpointA: amperes },
    };
  },
};

/** Held below the cutoff for 0.05 to 0.8 s, or removed up to 15 mV per cell above it. */
function stopOf(cutoffVolts: number, series: number, random: Random) {
  return random.uniform() < 0.6
    ? { volts: cutoffVolts - 0.001 * series, delaySeconds: random.between(0.05, 0.8), latestSeconds: 3600 }
    : { volts: cutoffVolts + series * random.between(0.001, 0.015), delaySeconds: 0, latestSeconds: 3600 };
}

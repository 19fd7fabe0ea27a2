import type { BenchModel, InstrumentErrors } from "../../seed/simulator/bench.js";
import { leadOhm } from "../../seed/simulator/bench.js";
import type { Random } from "../../seed/simulator/random.js";
import type { BenchFacts, LoadKind, Sense } from "../../src/core/model.js";
import { spread } from "./population.js";

/** How the errors of instruments are distributed: both have the standard uncertainty that the stated accuracy means. */
export const DISTRIBUTIONS = ["normal", "rectangular"] as const;
export type Distribution = (typeof DISTRIBUTIONS)[number];

/** A bench as it is registered, as it really is, and the zero error of its current sensor in this run, A. */
export interface DrawnBench {
  readonly stated: BenchFacts;
  readonly real: BenchModel;
  readonly currentZeroA: number;
}

/** Half-widths of a declared and of a computed sense resistance, as shares (docs/definitions.md, Uncertainty). */
const DECLARED_SENSE_SHARE = 0.05;
const COMPUTED_SENSE_SHARE = 0.1;
/** Limit of the rule on the current sensor's zero, as a share of the load; a bench beyond it is not an honest one. */
const MAX_ZERO_SHARE = 0.015;

/** A bench that keeps to what it states, for a load of about `amperes`. */
export function drawBench(kind: LoadKind, amperes: number, errors: Distribution, random: Random): DrawnBench {
  const error = (halfWidth: number) =>
    errors === "normal" ? (halfWidth / Math.sqrt(3)) * random.gaussian() : random.between(-halfWidth, halfWidth);
  const stated: BenchFacts = {
    load: { kind },
    voltage: { percent: spread(0.05, 0.5, random), offset: spread(0.002, 0.02, random) },
    current: { percent: spread(0.2, 2, random), offset: amperes * spread(0.0005, 0.005, random) },
    temperature: { offset: random.between(0.5, 2) },
    sense: drawSense(amperes, random),
  };
  const instruments: InstrumentErrors = {
    voltageGain: error(stated.voltage.percent / 100),
    voltageOffsetV: error(stated.voltage.offset),
    currentGain: error(stated.current.percent / 100),
    temperatureOffsetK: error(stated.temperature?.offset ?? 0),
  };
  const senseShare = stated.sense.resistanceMilliohm != null ? DECLARED_SENSE_SHARE : COMPUTED_SENSE_SHARE;
  const realOhm = leadOhm(stated.sense) * (1 + error(senseShare));
  const sense: Sense =
    stated.sense.point === "pack" ? stated.sense : { point: "lead", resistanceMilliohm: 1000 * realOhm };
  const limit = MAX_ZERO_SHARE * amperes;
  return {
    stated,
    real: {
      facts: { ...stated, sense },
      rateHz: spread(5, 20, random),
      jitterShare: random.between(0, 0.3),
      noise: {
        volts: spread(0.001, 0.008, random),
        amperes: amperes * spread(0.0005, 0.005, random),
        kelvin: spread(0.03, 0.15, random),
      },
      resolution: {
        volts: random.uniform() < 0.7 ? 0.001 : 0.01,
        amperes: random.uniform() < 0.7 ? 0.01 : 0.1,
        kelvin: random.uniform() < 0.7 ? 0.1 : 0.2,
      },
      errors: instruments,
    },
    currentZeroA: Math.min(limit, Math.max(-limit, error(stated.current.offset))),
  };
}

/** At the pack, past a lead of a declared resistance, or past one of a known gauge and length. */
function drawSense(amperes: number, random: Random): Sense {
  const choice = random.uniform();
  if (choice < 0.4) return { point: "pack" };
  if (choice < 0.7) return { point: "lead", resistanceMilliohm: random.between(0.01, 0.1) / (amperes / 1000) };
  return { point: "lead", gaugeAwg: amperes > 60 ? 10 : 14, lengthMm: random.between(40, 120) };
}

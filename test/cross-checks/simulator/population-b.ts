import type { Chemistry } from "../../../src/core/model.js";
import { TABLE_CURVES, variedCurve } from "./open-circuit.js";
import type { ChargeTransfer, Relaxation, Shape, SimulatedPack } from "./pack.js";
import { drawSize, type PackSize } from "./pack-size.js";
import { drawVariation } from "./population-a.js";
import type { Random } from "./random.js";

/** What packs of a fractional kind are drawn from: the ranges of population B, or wider ones. */
export interface FractionalRanges {
  /** Widens the range of the fall under load. */
  readonly widenSag: number;
  /** Power of the time constant by which the resistances of the relaxations grow. */
  readonly power: readonly [number, number];
  /** Resistance of all relaxations to 900 s over the rest of the resistance at 10 s. */
  readonly relaxedShare: readonly [number, number];
  /** Share of the fall after 10 s under the suited load that charge transfer causes. */
  readonly transferShare: readonly [number, number];
  /** By how much the resistance at both ends of the charge exceeds that in the middle. */
  readonly bowl: readonly [number, number];
  /** How much it rises toward the end beside that. */
  readonly rise: readonly [number, number];
  readonly hysteresisVolts: readonly [number, number];
  readonly surfaceVolts: readonly [number, number];
}

export const RANGES_B: FractionalRanges = {
  widenSag: 1,
  power: [0.08, 0.35],
  relaxedShare: [0.5, 1.3],
  transferShare: [0.12, 0.38],
  bowl: [0.08, 0.4],
  rise: [0.2, 0.9],
  hysteresisVolts: [0.001, 0.008],
  surfaceVolts: [-0.005, 0.025],
};

const FIRST_SECONDS = 0.25;
const LAST_SECONDS = 900;
const TERMS = 10;
/** 2 R T / F at 25 degC: the slope of charge transfer with a symmetry factor of one half. */
const TRANSFER_VOLTS = 0.0514;
/** A LiFePO4 cell relaxes and turns over farther than others. */
const LIFEPO4_SCALE = 2;

/** Population B: fractional-order relaxation by ten time constants from 0.25 to 900 s, and all that stands in `FractionalRanges`. */
export const drawPackB = (chemistry: Chemistry, random: Random): SimulatedPack =>
  drawFractionalPack(chemistry, random, RANGES_B, (curve) => curve);

/** A pack of the fractional kind. `reshape` changes its open-circuit curve. */
export function drawFractionalPack(
  chemistry: Chemistry,
  random: Random,
  ranges: FractionalRanges,
  reshape: (curve: (u: number) => number) => (u: number) => number,
): SimulatedPack {
  const size = drawSize(chemistry, random, ranges.widenSag);
  const scale = chemistry === "lifepo4" ? LIFEPO4_SCALE : 1;
  const transferShare = random.between(...ranges.transferShare);
  const [relaxedShare, power] = [
    scale ** 0.5 * random.between(...ranges.relaxedShare),
    random.between(...ranges.power),
  ];
  const relaxations = fractional(size.ohmAt10s * (1 - transferShare), relaxedShare, power);
  const curve = variedCurve(TABLE_CURVES[chemistry], ...drawVariation(chemistry, random));
  return {
    facts: size.facts,
    suitedLoadA: size.suitedLoadA,
    missingShare: random.between(0, chemistry === "lifepo4" ? 0.004 : 0.012),
    cell: {
      chargeCoulomb: 3600 * size.ampereHours,
      openCircuitVolts: reshape(curve),
      ...relaxations,
      seriesShape: drawBowl(random, { bowl: [0, 0.1], rise: [0, 0.25] }),
      relaxationShape: drawBowl(random, ranges),
      transfer: transferOf(size, transferShare * size.sagVolts),
      transferShape: drawBowl(random, ranges),
      surfaceCharge: {
        volts: (scale === 1 ? 1 : 3) * random.between(...ranges.surfaceVolts),
        chargeShare: random.logBetween(0.005, 0.04),
        seconds: random.logBetween(60, 1800),
      },
      hysteresis: {
        volts: scale * random.between(...ranges.hysteresisVolts),
        chargeShare: random.logBetween(0.01, 0.08),
      },
      arrhenius: {
        ohmic: random.between(400, 1300),
        relaxation: random.between(1500, 3500),
        transfer: random.between(2500, 5500),
      },
      heat: drawHeat(size, random),
    },
  };
}

/** Resistances that grow with a power of their time constant, so that series and relaxations together give `ohmAt10s` at 10 s. */
function fractional(ohmAt10s: number, relaxedShare: number, power: number) {
  const seconds = Array.from(
    { length: TERMS },
    (_, j) => FIRST_SECONDS * (LAST_SECONDS / FIRST_SECONDS) ** (j / (TERMS - 1)),
  );
  const weights = seconds.map((tau) => tau ** power);
  const all = weights.reduce((total, weight) => total + weight, 0);
  const shares = weights.map((weight) => (relaxedShare * weight) / all);
  const within10s = shares.reduce((total, share, j) => total + share * (1 - Math.exp(-10 / (seconds[j] as number))), 1);
  const seriesOhm = ohmAt10s / within10s;
  const relaxations: Relaxation[] = shares.map((share, j) => ({
    ohm: share * seriesOhm,
    seconds: seconds[j] as number,
  }));
  return { seriesOhm, relaxations };
}

/** The exchange current at which charge transfer takes `volts` under the suited load. */
function transferOf({ suitedLoadA }: PackSize, volts: number): ChargeTransfer {
  return { volts: TRANSFER_VOLTS, amperes: suitedLoadA / 2 / Math.sinh(volts / TRANSFER_VOLTS) };
}

function drawBowl(random: Random, { bowl, rise }: Pick<FractionalRanges, "bowl" | "rise">): Shape {
  const [depth, height, width] = [random.between(...bowl), random.between(...rise), random.between(0.03, 0.09)];
  const middle = random.between(0.4, 0.6);
  return (u) => 1 + depth * ((u - middle) / 0.5) ** 2 + height * Math.exp(Math.min(0, u - 1) / width);
}

function drawHeat({ massGrams, facts }: PackSize, random: Random) {
  const joulePerKelvin = (massGrams / 1000 / facts.series) * random.between(850, 1100);
  const coreShare = random.between(0.6, 0.85);
  const surfaceJoulePerKelvin = (1 - coreShare) * joulePerKelvin;
  return {
    coreJoulePerKelvin: coreShare * joulePerKelvin,
    surface: {
      joulePerKelvin: surfaceJoulePerKelvin,
      wattPerKelvinFromCore: surfaceJoulePerKelvin / random.logBetween(8, 40),
    },
    wattPerKelvinToAir: joulePerKelvin / random.logBetween(500, 1800),
  };
}

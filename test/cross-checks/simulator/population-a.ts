import type { Chemistry } from "../../../src/core/model.js";
import { FORMULA_CURVES, variedCurve } from "./open-circuit.js";
import type { Relaxation, Shape, SimulatedPack } from "./pack.js";
import { drawSize } from "./pack-size.js";
import type { Random } from "./random.js";

/** Time constants of up to three pairs, s. */
const PAIR_SECONDS = [
  [0.5, 5],
  [6, 35],
  [40, 180],
] as const;
const SURFACE_VOLTS: Readonly<Record<Chemistry, readonly [number, number]>> = {
  lipo: [-0.008, 0.025],
  lihv: [-0.008, 0.03],
  liion: [-0.008, 0.025],
  lifepo4: [0, 0.11],
};
/** A LiFePO4 cell relaxes farther than others. */
const RELAXED_SHARE: Readonly<Record<Chemistry, readonly [number, number]>> = {
  lipo: [0.12, 0.45],
  lihv: [0.12, 0.45],
  liion: [0.12, 0.45],
  lifepo4: [0.2, 0.7],
};

/**
 * Packs of one to three RC pairs. Their resistance rises toward the end, tilts with the charge drawn and falls with temperature by two
 * slopes; a surface charge of random size fades with the charge drawn.
 */
export function drawPackA(chemistry: Chemistry, random: Random): SimulatedPack {
  const size = drawSize(chemistry, random);
  const pairs = PAIR_SECONDS.slice(0, 1 + Math.floor(3 * random.uniform()));
  const shares = pairs.map(() => random.between(...RELAXED_SHARE[chemistry]));
  const seconds = pairs.map(([low, high]) => random.logBetween(low, high));
  const within10s = shares.reduce((all, share, j) => all + share * (1 - Math.exp(-10 / (seconds[j] as number))), 1);
  const seriesOhm = size.ohmAt10s / within10s;
  const relaxations: Relaxation[] = shares.map((share, j) => ({
    ohm: share * seriesOhm,
    seconds: seconds[j] as number,
  }));
  const shape = drawShape(random);
  const joulePerKelvin = (size.massGrams / 1000 / size.facts.series) * random.between(850, 1100);
  const curve = variedCurve(FORMULA_CURVES[chemistry], ...drawVariation(chemistry, random));
  return {
    facts: size.facts,
    suitedLoadA: size.suitedLoadA,
    missingShare: random.between(0, chemistry === "lifepo4" ? 0.004 : 0.012),
    cell: {
      chargeCoulomb: 3600 * size.ampereHours,
      openCircuitVolts: curve,
      seriesOhm,
      seriesShape: shape,
      relaxations,
      relaxationShape: shape,
      transfer: null,
      transferShape: () => 1,
      surfaceCharge: {
        volts: random.between(...SURFACE_VOLTS[chemistry]),
        chargeShare: random.logBetween(0.006, 0.05),
        seconds: Number.POSITIVE_INFINITY,
      },
      hysteresis: null,
      arrhenius: { ohmic: random.between(600, 1500), relaxation: random.between(1500, 3500), transfer: 0 },
      heat: {
        coreJoulePerKelvin: joulePerKelvin,
        surface: null,
        wattPerKelvinToAir: joulePerKelvin / random.logBetween(500, 1800),
      },
    },
  };
}

/** Tilted over the charge drawn and rising toward its end. */
function drawShape(random: Random): Shape {
  const tilt = random.between(-0.2, 0.25);
  const [rise, width] = [random.between(0.1, 0.7), random.between(0.025, 0.08)];
  return (u) => 1 + tilt * (u - 0.4) + rise * Math.exp(Math.min(0, u - 1) / width);
}

/** Tilt and bend of an open-circuit curve, V: those of LiFePO4 are flat. */
export function drawVariation(chemistry: Chemistry, random: Random): [number, number] {
  const scale = chemistry === "lifepo4" ? 0.2 : 1;
  return [scale * random.between(-0.04, 0.04), scale * random.between(-0.012, 0.012)];
}

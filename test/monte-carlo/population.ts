import { CELL_VOLTS, openCircuitVolts } from "../../seed/simulator/chemistry.js";
import type { Demand } from "../../seed/simulator/demand.js";
import type { PackModel } from "../../seed/simulator/pack-model.js";
import type { Random } from "../../seed/simulator/random.js";
import { CHEMISTRIES, type Chemistry, LOAD_KINDS, type PackFacts } from "../../src/core/model.js";

/** A pack drawn from the population of docs/science.md, with the charge missing when it is called full. */
export interface DrawnPack {
  readonly facts: PackFacts;
  readonly model: PackModel;
  readonly chargeMissingC: number;
  /** Series resistance and both relaxations, at 25 degC. */
  readonly settledOhm: number;
}

/** Series resistance of a cell times its capacity, mohm Ah: from good to poor. */
const RESISTANCE_MOHM_AH: Readonly<Record<Chemistry, readonly [number, number]>> = {
  lipo: [4, 10],
  lihv: [4, 9],
  liion: [6, 12],
  lifepo4: [4, 10],
};
/** What lifts the plateau of a LiFePO4 cell just below full to 3.33 to 3.39 V, and the surface charge of a full one with it, V. */
const PLATEAU_LIFT: Readonly<Record<Chemistry, readonly [number, number]>> = {
  lipo: [0, 0],
  lihv: [0, 0],
  liion: [0, 0],
  lifepo4: [0.03, 0.09],
};
const SURFACE_POWER = 40;
/** Share of the charge that a full, rested pack may lack and still be within 50 mV of full. */
const MAX_MISSING: Readonly<Record<Chemistry, number>> = { lipo: 0.03, lihv: 0.02, liion: 0.03, lifepo4: 0.002 };
const WH_PER_KG: Readonly<Record<Chemistry, readonly [number, number]>> = {
  lipo: [110, 170],
  lihv: [120, 180],
  liion: [140, 210],
  lifepo4: [70, 120],
};
const HEAT_CAPACITY_J_PER_KG_K = [850, 1100] as const;

const pick = <T>(choices: readonly T[], random: Random): T =>
  choices[Math.floor(random.uniform() * choices.length)] as T;

/** As likely between `low` and twice `low` as between half of `high` and `high`. */
export const spread = (low: number, high: number, random: Random): number =>
  low * Math.exp(random.between(0, Math.log(high / low)));

/** A pack of equal cells with two relaxations, everything about it drawn. */
export function drawPack(random: Random, chemistry: Chemistry = pick(CHEMISTRIES, random)): DrawnPack {
  const series = 2 + Math.floor(random.uniform() * 7);
  const ratedCapacityMah = 50 * Math.round(spread(1000, 8000, random) / 50);
  const capacityC = ratedCapacityMah * 3.6 * random.between(0.96, 1.08);
  const seriesOhm = (series * spread(...RESISTANCE_MOHM_AH[chemistry], random)) / 1000 / (capacityC / 3600);
  const branch = (share: number, seconds: number) => ({
    ohm: seriesOhm * share,
    farad: seconds / (seriesOhm * share),
  });
  const fast = branch(random.between(0.1, 0.4), spread(0.7, 4, random));
  const slow = branch(random.between(0.2, 0.7), spread(12, 60, random));
  const wattHours = (series * CELL_VOLTS[chemistry].nominal * ratedCapacityMah) / 1000;
  const massGrams = Math.round((1000 * wattHours) / random.between(...WH_PER_KG[chemistry]));
  const heatCapacityJPerK = (massGrams / 1000) * random.between(...HEAT_CAPACITY_J_PER_KG_K);
  const [tilt, bow] = [random.between(-0.06, 0.06), random.between(-0.02, 0.02)];
  const lift = random.between(...PLATEAU_LIFT[chemistry]);
  return {
    facts: {
      chemistry,
      series,
      parallel: 1,
      ratedCapacityMah,
      labelContinuousC: 40,
      labelBurstC: 80,
      massGrams,
    },
    model: {
      openCircuitVolts: (drawnC) => {
        const left = 1 - drawnC / capacityC;
        const lifted = lift * (1 - Math.max(left, 0) ** SURFACE_POWER);
        const bent = tilt * (left - 1) + bow * Math.sin(2 * Math.PI * left);
        return series * (openCircuitVolts(chemistry, left) + lifted + bent);
      },
      seriesOhm,
      resistanceFallPerKelvin: random.between(0.003, 0.009),
      branches: [fast, slow],
      heatCapacityJPerK,
      heatLossWPerK: heatCapacityJPerK / spread(600, 1800, random),
    },
    chargeMissingC: random.between(0, MAX_MISSING[chemistry]) * capacityC,
    settledOhm: seriesOhm + fast.ohm + slow.ohm,
  };
}

/** A load of any kind that draws about `share` of the full load: of a resistance that draws 20 It at the nominal voltage. */
export function drawDemand(pack: DrawnPack, share: number, random: Random): Demand {
  const { chemistry, series, ratedCapacityMah } = pack.facts;
  const fullLoadAmperes = (20 * ratedCapacityMah) / 1000;
  const fullLoadOhm = (series * CELL_VOLTS[chemistry].nominal) / fullLoadAmperes;
  const sourceVolts = pack.model.openCircuitVolts(pack.chargeMissingC);
  const amperes = (share * sourceVolts) / (fullLoadOhm + pack.settledOhm);
  const volts = sourceVolts - amperes * pack.settledOhm;
  const kind = pick(LOAD_KINDS, random);
  const levels = {
    throttle: volts / amperes,
    "constant-resistance": volts / amperes,
    "constant-current": amperes,
    "constant-power": volts * amperes,
  };
  return { kind, level: levels[kind], riseSeconds: spread(0.05, 0.8, random) };
}

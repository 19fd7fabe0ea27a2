import type { Chemistry, PackFacts } from "../../../src/core/model.js";
import { nearestStandardLoad } from "./load.js";
import type { Random } from "./random.js";

type Ranges = Readonly<Record<Chemistry, readonly [number, number]>>;

/** Resistance of a cell after 10 s times its capacity, mohm Ah, from good to poor: from memory, common practice. */
const MOHM_AH: Ranges = { lipo: [3.5, 9], lihv: [3.5, 9], liion: [15, 36], lifepo4: [8, 20] };
/** Fall of a cell's voltage in the first 10 s under the load that suits it, V. */
const SAG_VOLTS: Ranges = { lipo: [0.09, 0.24], lihv: [0.09, 0.26], liion: [0.1, 0.32], lifepo4: [0.12, 0.3] };
const WH_PER_KG: Ranges = { lipo: [115, 175], lihv: [120, 185], liion: [150, 220], lifepo4: [75, 125] };
const MEAN_VOLTS: Readonly<Record<Chemistry, number>> = { lipo: 3.75, lihv: 3.82, liion: 3.6, lifepo4: 3.2 };
/** Currents in multiples of the capacity per hour. */
const MIN_RATE = 3;
const MAX_RATE = 32;

/** Size and label of a pack, and how hard it suits to load it. */
export interface PackSize {
  readonly facts: PackFacts;
  readonly ampereHours: number;
  readonly massGrams: number;
  /** A cell's resistance after 10 s of the suited load, ohm. */
  readonly ohmAt10s: number;
  readonly suitedLoadA: number;
  /** Fall of a cell's voltage to be expected after 10 s of the suited load, V. */
  readonly sagVolts: number;
}

/** 1 to 12 cells in series of 1 to 10 Ah. `widen` above 1 widens the range of the sag. */
export function drawSize(chemistry: Chemistry, random: Random, widen = 1): PackSize {
  const series = 1 + Math.floor(12 * random.uniform());
  const ampereHours = random.logBetween(1, 10);
  const ohmAt10s = random.logBetween(...MOHM_AH[chemistry]) / 1000 / ampereHours;
  const [low, high] = SAG_VOLTS[chemistry];
  const aimedA = random.between(low / widen, high * Math.sqrt(widen)) / ohmAt10s;
  const suitedLoadA = nearestStandardLoad(Math.min(Math.max(aimedA, MIN_RATE * ampereHours), MAX_RATE * ampereHours));
  const massGrams = Math.round(
    (1000 * series * ampereHours * MEAN_VOLTS[chemistry]) / random.between(...WH_PER_KG[chemistry]),
  );
  return {
    facts: {
      chemistry,
      series,
      parallel: chemistry === "liion" ? Math.max(1, Math.round(ampereHours / 2.8)) : 1,
      ratedCapacityMah: 50 * Math.max(1, Math.round((1000 * ampereHours) / random.between(1, 1.07) / 50)),
      labelContinuousC: 40,
      labelBurstC: 80,
      massGrams,
    },
    ampereHours,
    massGrams,
    ohmAt10s,
    suitedLoadA,
    sagVolts: suitedLoadA * ohmAt10s,
  };
}

import { type PackModel, TABLE_INTERVALS, USE_MODEL_VERSION } from "../../src/core/use/model/pack-model.js";
import { SHAPE_KNOTS, SOURCE_KNOTS } from "../../src/core/use/model/unknowns.js";

/** What of a model is known; the rest is that of a 4S pack of 5 Ah, measured at 20 to 100 A, that resists equally along its charge. */
interface KnownModel extends Partial<PackModel> {
  /** V of a cell at the share of its charge that was drawn. */
  readonly source: (share: number) => number;
  readonly seriesOhm: number;
}

/** A pack's model of which every number is known. */
export function knownModel({ source, ...known }: KnownModel): PackModel {
  return {
    modelVersion: USE_MODEL_VERSION,
    chemistry: "lipo",
    series: 4,
    grade: "established",
    runs: 6,
    testers: 3,
    chargeAh: 5,
    sourceVolts: Array.from({ length: TABLE_INTERVALS + 1 }, (_, n) => source(n / TABLE_INTERVALS)),
    resistanceFactor: Array.from({ length: TABLE_INTERVALS + 1 }, () => 1),
    seriesSlopeK: 0,
    relaxations: [],
    relaxationSlopeK: 0,
    heat: { coreJoulePerKelvin: 1e6, skinJoulePerKelvin: 1e5, coreToSkinWattPerKelvin: 100, skinToAirWattPerKelvin: 1 },
    heatUncertainty: [0.1, 0.3, 0.3],
    spread: { capacity: 0.015, resistance: 0.05 },
    meanUncertainty: { capacity: 0.009, resistance: 0.03 },
    sourceKnots: SOURCE_KNOTS,
    factorKnots: SHAPE_KNOTS,
    directions: [],
    covariates: {
      referenceCycles: null,
      lnCapacityPer100Cycles: null,
      lnResistancePer100Cycles: null,
      lnCapacityPer10K: null,
    },
    specimens: [],
    range: { meanA: [20, 100], peakA: 120, chargeShare: 1, startC: [20, 26], maxC: 60, cycles: null },
    validation: null,
    ...known,
  };
}

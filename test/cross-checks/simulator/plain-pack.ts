import type { CellModel, SimulatedPack } from "./pack.js";

const CELL: CellModel = {
  chargeCoulomb: 18_000,
  openCircuitVolts: () => 3.7,
  seriesOhm: 0.002,
  seriesShape: () => 1,
  relaxations: [],
  relaxationShape: () => 1,
  transfer: null,
  transferShape: () => 1,
  surfaceCharge: { volts: 0, chargeShare: 1, seconds: Number.POSITIVE_INFINITY },
  hysteresis: null,
  arrhenius: { ohmic: 0, relaxation: 0, transfer: 0 },
  heat: { coreJoulePerKelvin: 500, surface: null, wattPerKelvinToAir: 0 },
};

/** Four cells of 5 Ah: 3.7 V behind 2 mohm and nothing else, but for what is given. */
export function plainPack(cell: Partial<CellModel>): SimulatedPack {
  return {
    facts: {
      chemistry: "lipo",
      series: 4,
      parallel: 1,
      ratedCapacityMah: 5000,
      labelContinuousC: null,
      labelBurstC: null,
      massGrams: 500,
    },
    cell: { ...CELL, ...cell },
    missingShare: 0,
    suitedLoadA: 100,
  };
}

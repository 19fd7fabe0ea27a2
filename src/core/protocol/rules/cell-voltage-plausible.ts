import { farthestVoltage } from "../observe/farthest-voltage.js";
import type { Observation, Rule } from "../rule.js";

export const CELL_VOLTAGE_PLAUSIBLE: Rule = {
  id: "cell-voltage-plausible",
  observes:
    "The most extreme voltage of any logged cell, compared with the range of a healthy cell of the chemistry. Single samples are ignored.",
  why: "A cell far outside this range is damaged, or its wire is loose. The result then says little about this type of pack.",
  unit: "V",
  limits: { tolerance: "how far a reading may lie outside the range, V" },
  assess: (test, limit) => {
    const tolerance = limit("tolerance");
    const middle = (test.cell.lowest + test.cell.highest) / 2;
    const out = ({ observed }: Observation) => Math.abs(observed - middle);
    return test.run.samples.cells
      .map((cell) => farthestVoltage(test, cell, 1, tolerance))
      .reduce<Observation | null>((worst, one) => (worst && out(worst) >= out(one) ? worst : one), null);
  },
  seen: (observed) => `The most extreme cell voltage is ${observed}`,
  missing: "The log has no cell voltages.",
  advice:
    "Check every balance wire, the chemistry of the pack, and the columns and units that were taken as cell voltages. Do not use a pack with such a cell again.",
};

import { fullCellWindow } from "../observe/full-cell.js";
import { type Rule, within } from "../rule.js";

export const FULL_CHARGE: Rule = {
  id: "full-charge",
  observes: "The rest voltage per cell just before the load, compared with that of a full cell of the chemistry.",
  why: "A pack that is not full delivers less power and less charge than it can.",
  unit: "V",
  limits: {
    below: "largest voltage below a full cell, V",
    above: "largest voltage above a full cell, V",
    lifepo4Minimum: "lowest voltage of a LiFePO4 cell, which settles far below its full voltage within minutes, V",
    lifepo4Maximum: "highest voltage of a LiFePO4 cell, V",
  },
  assess: ({ run, pack, cell }, limit) => {
    if (!run.rest) return null;
    const limits = fullCellWindow(pack.chemistry, cell, limit);
    return within(run.rest.volts / pack.series, limits, { fromS: -1, toS: 0 });
  },
  seen: (observed) => `The rest voltage before the load is ${observed} per cell`,
  missing: "The log has no rest before the load, so the state of charge is unknown.",
  advice: "Charge the pack fully by the maker's method and let it rest. Start the log at least 2 s before the load.",
};

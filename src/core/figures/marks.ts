import { combining, type FigureFormula } from "./formula.js";

const UNITS = { power: "W", voltage: "V", current: "A" } as const;
const MARKS = ["peak", "10s", "30s", "cutoff"] as const;

/** Power (W), voltage (V) and current (A) at the peak of the first 5 s, at 10 s, at 30 s and at the cutoff. */
export const MARK_FIGURES: readonly FigureFormula[] = (["power", "voltage", "current"] as const).flatMap((quantity) =>
  MARKS.map((mark): FigureFormula => {
    const key = `${quantity}-${mark}` as const;
    return {
      key,
      unit: UNITS[quantity],
      atInstant: mark !== "cutoff",
      // Under a resistance the cutoff fixes all three, whatever the pack.
      ownLoadOnly: mark === "cutoff",
      from: combining([key], ([value = Number.NaN]) => value),
    };
  }),
);

/** Power at 30 s as a share of the peak power. */
export const HOLD_30S: FigureFormula = {
  key: "hold-30s",
  unit: "ratio",
  atInstant: true,
  from: combining(["power-30s", "power-peak"], ([at30 = 0, peak = 0]) => (peak > 0 ? at30 / peak : null)),
};

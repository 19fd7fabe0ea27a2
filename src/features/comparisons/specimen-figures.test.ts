import { describe, expect, test } from "@jest/globals";
import { nearestRun, type SpecimenFigureRow, specimenFigures } from "./specimen-figures.js";

const row = (runId: string, value: number, bound: SpecimenFigureRow["bound"] = "none"): SpecimenFigureRow => ({
  ...{ specimenId: "s", runId, protocol: "full-load", figure: "power-10s", unit: "W", basis: "translated", load: 100 },
  ...{ value, uncertainty: 3, bound },
});

describe("the figures of a specimen", () => {
  // JCGM 100, 4.2.3 and 5.1.2: of 100, 102 and 104 the mean is 102, s / sqrt(3) = 2 / sqrt(3); with u = 3 of the bench, common to all: sqrt(9 + 4/3).
  test("are the mean of its runs, as uncertain as bench and scatter together", () => {
    const [figure, ...others] = specimenFigures([row("a", 100), row("b", 102), row("c", 104)]);
    expect(others).toEqual([]);
    expect(figure).toMatchObject({ value: 102, bound: "none", testers: 1, runs: 3 });
    expect(figure?.uncertainty).toBeCloseTo(Math.sqrt(9 + 4 / 3), 12);
  });

  test("leave bounds out where a run has a value, and else say the bound that says most", () => {
    expect(specimenFigures([row("a", 100), row("b", 500, "lower")])).toMatchObject([{ value: 100, runs: 1 }]);
    expect(specimenFigures([row("a", 80, "lower"), row("b", 90, "lower")])).toMatchObject([
      { value: 90, bound: "lower" },
    ]);
    expect(specimenFigures([row("a", 80, "upper"), row("b", 90, "upper")])).toMatchObject([
      { value: 80, bound: "upper" },
    ]);
    expect(specimenFigures([row("a", 80, "lower"), row("b", 90, "upper")])).toEqual([]);
  });

  test("are drawn by the run nearest to the mean", () => {
    const rows = [row("a", 100), row("b", 102), row("c", 104)];
    const of = { protocol: "full-load", figure: "power-10s", load: 100 };
    expect(nearestRun(rows, { ...of, value: 102.4 })).toBe("b");
    expect(nearestRun(rows, { ...of, load: 63, value: 102 })).toBeNull();
  });
});

import { expect, test } from "@jest/globals";
import { decisiveFigures } from "./decisive.js";

const at = (figure: string, load: number | null = null) => ({ figure, load });

test("a figure is taken under the standard load nearest to the run's own, by ratio", () => {
  const figures = [at("power-10s"), at("power-10s", 50), at("power-10s", 80), at("power-10s", 125)];
  expect(decisiveFigures(figures, 96)).toEqual([at("power-10s", 80)]);
  expect(decisiveFigures(figures, 105)).toEqual([at("power-10s", 125)]);
});

test("a figure that was not translated is taken under the run's own load", () => {
  expect(decisiveFigures([at("resistance-10s"), at("capacity")], null)).toEqual([at("capacity"), at("resistance-10s")]);
});

test("there are six at most, whatever a run has", () => {
  const keys = ["runtime", "capacity-share", "temperature-rise", "resistance-10s", "energy", "capacity", "power-10s"];
  expect(
    decisiveFigures(
      keys.map((key) => at(key)),
      null,
    ).map(({ figure }) => figure),
  ).toEqual(["power-10s", "capacity", "energy", "resistance-10s", "temperature-rise", "capacity-share"]);
});

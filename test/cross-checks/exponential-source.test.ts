import { expect, test } from "@jest/globals";
import { courseOf, figuresUnderResistance, type SourceLoad, sourceVolts } from "./exponential-source.js";

const SOURCES = [
  { U0: 12.8, a: 4, q0: 15_500, ohm: 0.008 },
  { U0: 15.2, a: -0.02, q0: -3500, ohm: 0.008 },
];
const LOADS: readonly SourceLoad[] = [
  { kind: "constant-resistance", ohm: 0.15 },
  { kind: "constant-current", amperes: 90 },
  { kind: "constant-power", watts: 1200 },
];

test.each(SOURCES.flatMap((source) => LOADS.map((load) => [load.kind, source, load] as const)))(
  "under %s charge is the integral of current, and the load's law holds",
  (_, source, load) => {
    const course = courseOf(source, load);
    for (const t of [1, 20, 50]) {
      const slope = (course.charge(t + 1e-3) - course.charge(t - 1e-3)) / 2e-3;
      expect(slope).toBeCloseTo(course.amperes(t), 5);
      expect(course.volts(t)).toBeCloseTo(sourceVolts(source, course.charge(t)) - source.ohm * course.amperes(t), 9);
      if (load.kind === "constant-power") expect(course.volts(t) * course.amperes(t)).toBeCloseTo(load.watts, 6);
      if (load.kind === "constant-resistance") expect(course.volts(t) / course.amperes(t)).toBeCloseTo(load.ohm, 9);
    }
  },
);

test.each(SOURCES)("figures under a resistance are the integrals of the course, to the cutoff", (source) => {
  const figures = figuresUnderResistance(source, 0.15, 13.4);
  const course = courseOf(source, { kind: "constant-resistance", ohm: 0.15 });
  const { runtime } = figures;
  expect(course.volts(runtime)).toBeCloseTo(13.4, 9);
  expect(course.charge(runtime) / 3.6).toBeCloseTo(figures.capacity, 6);
  const steps = 200_000;
  const power = (t: number) => course.volts(t) * course.amperes(t);
  const midpoints = Array.from({ length: steps }, (_, k) => power(((k + 0.5) * runtime) / steps));
  const joule = (midpoints.reduce((sum, watts) => sum + watts, 0) * runtime) / steps;
  expect(joule / 3600).toBeCloseTo(figures.energy, 6);
  expect(figures["power-10s"]).toBeCloseTo((power(9.5) + 4 * power(10) + power(10.5)) / 6, 5);
});

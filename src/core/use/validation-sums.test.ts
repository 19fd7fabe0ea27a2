import { expect, it } from "@jest/globals";
import type { ValidatedRun } from "./validate.js";
import { addedSums, pooledErrors, validationSums } from "./validation-sums.js";

const run = (more: Partial<ValidatedRun>): ValidatedRun => ({
  runId: "run",
  voltagePercentRms: 0.3,
  voltageCoverage: 1,
  timePercent: null,
  timeUncertaintyPercent: null,
  temperatureK: null,
  temperatureUncertainty: null,
  ...more,
});
const first = [
  run({
    voltagePercentRms: 0.3,
    timePercent: 3,
    timeUncertaintyPercent: 1,
    temperatureK: -1,
    temperatureUncertainty: 0.7,
  }),
  run({ voltagePercentRms: 0.4, timePercent: -1, timeUncertaintyPercent: 1, voltageCoverage: 0.5 }),
];
const second = [run({ voltagePercentRms: 1.2, timePercent: 4, timeUncertaintyPercent: 2 })];

// Worked by hand: sqrt((0.09 + 0.16 + 1.44) / 3), (3 - 1 + 4) / 3, sqrt((9 + 1 + 16) / 3); 4 = 2 u counts as within.
it("makes of several packs' sums the errors of all their runs together", () => {
  const together = pooledErrors(addedSums([validationSums(first), validationSums(second)]));
  expect(together).toEqual(pooledErrors(validationSums([...first, ...second])));
  expect(together).toEqual({
    runs: 3,
    voltagePercentRms: expect.closeTo(0.750555, 6),
    voltageCoverage: expect.closeTo(0.833333, 6),
    timedRuns: 3,
    timePercentMean: 2,
    timePercentRms: expect.closeTo(2.94392, 6),
    timeCoverage: expect.closeTo(0.666667, 6),
    probedRuns: 1,
    temperatureMean: -1,
    temperatureRms: 1,
    temperatureCoverage: 1,
  });
});

it("tells nothing of what no run tells", () => {
  expect(Object.values(pooledErrors(addedSums([validationSums([])])))).toEqual([
    ...[0, null, null, 0, null, null, null, 0, null, null, null],
  ]);
});

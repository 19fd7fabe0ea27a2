import { ruleCases } from "../../../../test/support/rule-cases.js";
import { runUnderTest } from "../../../../test/support/run-under-test.js";

const { samples } = runUnderTest().run;
const oneAt = (volts: number, from: number) =>
  samples.cells.with(
    2,
    samples.voltage.map((value, i) => (i >= from && i < from + 3 ? volts : value / 4)),
  );
const highestAt = (volts: number) => oneAt(volts, 10);
const lowestAt = (volts: number) => oneAt(volts, 900);

ruleCases("cell-voltage-plausible", {
  passing: { "a lowest cell just below the mean": {} },
  failing: {
    "a lowest cell at 1.5 V": { samples: { cells: lowestAt(1.5) } },
    "a cell charged to 4.5 V": { samples: { cells: highestAt(4.5) } },
  },
  boundary: {
    "2.45 V under load": [{ samples: { cells: lowestAt(2.46) } }, { samples: { cells: lowestAt(2.44) } }],
    "4.3 V at rest": [{ samples: { cells: highestAt(4.29) } }, { samples: { cells: highestAt(4.31) } }],
  },
  notAssessable: { "a log without cells": { samples: { cells: [] } } },
});

import { ruleCases } from "../../../../test/support/rule-cases.js";
import { runUnderTest } from "../../../../test/support/run-under-test.js";

const { samples } = runUnderTest().run;
const highestAt = (volts: number) => samples.voltage.map((value, i) => (i >= 10 && i < 13 ? volts : value / 4 + 0.01));
const lowestAt = (volts: number) =>
  (samples.lowestCell as Float64Array).map((value, i) => (i >= 900 && i < 903 ? volts : value));

ruleCases("cell-voltage-plausible", {
  passing: { "a lowest cell just below the mean": {} },
  failing: {
    "a lowest cell at 1.5 V": { samples: { lowestCell: lowestAt(1.5) } },
    "a cell charged to 4.5 V": { samples: { highestCell: highestAt(4.5) } },
  },
  boundary: {
    "2.45 V under load": [{ samples: { lowestCell: lowestAt(2.46) } }, { samples: { lowestCell: lowestAt(2.44) } }],
    "4.3 V at rest": [{ samples: { highestCell: highestAt(4.29) } }, { samples: { highestCell: highestAt(4.31) } }],
  },
  notAssessable: { "a log without cells": { samples: { lowestCell: null } } },
});

import { ruleCases } from "../../../../test/support/rule-cases.js";
import { runUnderTest } from "../../../../test/support/run-under-test.js";

const { samples } = runUnderTest().run;
const lowestAt = (volts: number) =>
  (samples.lowestCell as Float64Array).map((value, i) => (i >= 900 && i < 903 ? volts : value));

ruleCases("cell-voltage-plausible", {
  passing: { "a lowest cell just below the mean": {} },
  failing: { "a lowest cell at 1.5 V": { samples: { lowestCell: lowestAt(1.5) } } },
  boundary: {
    "2.45 V under load": [{ samples: { lowestCell: lowestAt(2.46) } }, { samples: { lowestCell: lowestAt(2.44) } }],
  },
  notAssessable: { "a log without cells": { samples: { lowestCell: null } } },
});

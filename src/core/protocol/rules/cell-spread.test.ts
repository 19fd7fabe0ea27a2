import { ruleCases } from "../../../../test/support/rule-cases.js";
import { runUnderTest } from "../../../../test/support/run-under-test.js";

const { samples } = runUnderTest().run;
const below = (volts: number, from = 300, to = 400) => ({
  samples: {
    meanCell: samples.voltage.map((value) => value / 4),
    lowestCell: samples.voltage.map((value, i) => value / 4 - (i >= from && i < to ? volts : 0)),
  },
});

ruleCases("cell-spread", {
  passing: { "cells that are alike": below(0.01), "a single spiked sample": below(0.5, 300, 301) },
  failing: { "a cell that falls behind": below(0.4) },
  boundary: { "0.1 V": [below(0.0999), below(0.101)] },
  notAssessable: { "a log without cells": { samples: { lowestCell: null } } },
});

import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("current-accuracy", {
  passing: { "0.5 % + 0.1 A": { bench: { current: { percent: 0.5, offset: 0.1 } } } },
  failing: {
    "5 %": { bench: { current: { percent: 5, offset: 0 } } },
    "an instrument without error": { bench: { current: { percent: 0, offset: 0 } } },
  },
  boundary: {
    "2 % + 0.5 A at 100 A": [
      { bench: { current: { percent: 2.5, offset: 0 } } },
      { bench: { current: { percent: 2.51, offset: 0 } } },
    ],
    "the least that is believable": [
      { bench: { current: { percent: 0.005, offset: 0 } } },
      { bench: { current: { percent: 0.0049, offset: 0 } } },
    ],
  },
  notAssessable: "never",
});

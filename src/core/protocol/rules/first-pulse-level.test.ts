import { ruleCases } from "../../../../test/support/rule-cases.js";
import { FULL_LOAD_1 } from "../documents/full-load-1.js";
import { TWO_PULSE_1 } from "../documents/two-pulse-1.js";

/** The load of the full load with the rules of two pulses. */
const ANOTHER_LOAD = { ...TWO_PULSE_1, load: FULL_LOAD_1.load };

ruleCases("first-pulse-level", {
  passing: { "1 A of a pack of 5 Ah": { reads: { "first-pulse-current": 1 } } },
  failing: { "2 A": { reads: { "first-pulse-current": 2 } } },
  boundary: {
    "5 % more": [{ reads: { "first-pulse-current": 1.05 } }, { reads: { "first-pulse-current": 1.051 } }],
    "5 % less": [{ reads: { "first-pulse-current": 0.95 } }, { reads: { "first-pulse-current": 0.949 } }],
  },
  notAssessable: {
    "a log without pulses": {},
    "a protocol without pulses": { protocol: ANOTHER_LOAD, reads: { "first-pulse-current": 1 } },
  },
});

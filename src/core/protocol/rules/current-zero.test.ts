import { ruleCases } from "../../../../test/support/rule-cases.js";

const zero = (isKnown: boolean) => (offsetA: number) => ({
  offsetA,
  uncertaintyA: 0,
  isKnown,
  subtracted: isKnown && offsetA !== 0,
});
const [subtracted, left] = [zero(true), zero(false)];

ruleCases("current-zero", {
  passing: {
    "a sensor at exactly nothing": { run: { zero: subtracted(0) } },
    "one beyond 2 % by less than its noise": { run: { zero: { ...subtracted(2.05), uncertaintyA: 0.03 } } },
    "a sensor at 0.1 A at rest": { run: { zero: subtracted(0.1) } },
  },
  failing: { "one at 10 A": { run: { zero: left(10) } } },
  boundary: {
    "2 % of the load current as logged": [
      { run: { loadCurrentA: 98, zero: subtracted(2) } },
      { run: { loadCurrentA: 100, zero: left(2.01) } },
    ],
    "what the bench states, where that is more": [
      { bench: { current: { percent: 1, offset: 5 } }, run: { zero: subtracted(5) } },
      { bench: { current: { percent: 1, offset: 5 } }, run: { zero: left(5.01) } },
    ],
    "-2 %": [{ run: { loadCurrentA: 102, zero: subtracted(-2) } }, { run: { loadCurrentA: 100, zero: left(-2.01) } }],
  },
  notAssessable: { "too short a rest": { run: { zero: null } } },
});

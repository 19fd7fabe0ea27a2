import { ruleCases } from "../../../../test/support/rule-cases.js";

const zero = (isKnown: boolean) => (offsetA: number) => ({
  offsetA,
  uncertaintyA: 0,
  isKnown,
  subtracted: isKnown && offsetA !== 0,
});
const [subtracted, left] = [zero(true), zero(false)];

ruleCases("current-offset", {
  passing: { "an offset of 0.1 A under 100 A": { run: { zero: subtracted(0.1) } } },
  failing: { "one of 1.5 A": { run: { zero: subtracted(1.5) } } },
  boundary: {
    "0.5 %": [{ run: { zero: subtracted(0.5) } }, { run: { zero: subtracted(0.51) } }],
    "-0.5 %": [{ run: { zero: subtracted(-0.5) } }, { run: { zero: subtracted(-0.51) } }],
  },
  notAssessable: {
    "a zero that is not known": { run: { zero: null } },
    "an offset that was not subtracted": { run: { zero: left(5) } },
  },
});

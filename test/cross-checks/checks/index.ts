import type { OutsideCheck } from "./check.js";
import { EXPONENTIAL_SOURCE } from "./exponential-source.js";
import { GUM_CORRELATED, GUM_FREEDOM } from "./gum.js";
import { INTERLABORATORY } from "./interlaboratory.js";
import { NIST_NONLINEAR } from "./nist-nonlinear.js";
import { NIST_UNIVARIATE } from "./nist-univariate.js";
import { NIST_VARIANCE } from "./nist-variance.js";
import { RANDOM_EFFECTS } from "./random-effects.js";
import { SECOND_SIMULATOR } from "./second-simulator.js";
import { TWO_PULSE_CHECKS } from "./two-pulse.js";
import { USE_CHECKS } from "./use.js";

/** Every check against a source outside the project, one file a source or family of sources. */
export const OUTSIDE_CHECKS: readonly OutsideCheck[] = [
  ...GUM_CORRELATED,
  ...GUM_FREEDOM,
  ...RANDOM_EFFECTS,
  ...INTERLABORATORY,
  ...NIST_UNIVARIATE,
  ...NIST_VARIANCE,
  ...NIST_NONLINEAR,
  ...TWO_PULSE_CHECKS,
  ...EXPONENTIAL_SOURCE,
  ...SECOND_SIMULATOR,
  ...USE_CHECKS,
];

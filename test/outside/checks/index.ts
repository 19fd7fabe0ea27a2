import type { OutsideCheck } from "./check.js";
import { NIST_NONLINEAR } from "./nist-nonlinear.js";

/** Every check against a source outside the project, one file a source or family of sources. */
export const OUTSIDE_CHECKS: readonly OutsideCheck[] = [...NIST_NONLINEAR];

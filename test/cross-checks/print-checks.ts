import { resultOf } from "./checks/check.js";
import { OUTSIDE_CHECKS } from "./checks/index.js";

/** Prints one line for each outside check; fails when one of them does. */
let failed = 0;
for (const check of OUTSIDE_CHECKS) {
  const { expected, got, digitsAgreed, passed } = await resultOf(check);
  const digits = digitsAgreed === null ? (passed ? "equal" : "differs") : `${digitsAgreed.toFixed(1)} digits`;
  console.log([passed ? "ok" : "FAILED", check.what, check.source, expected, got, digits].join(" | "));
  if (!passed) failed++;
}
console.log(`${OUTSIDE_CHECKS.length} checks, ${failed} failed`);
process.exitCode = failed > 0 ? 1 : 0;

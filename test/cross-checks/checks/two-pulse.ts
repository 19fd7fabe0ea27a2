import { evaluate } from "../../../src/core/evaluate.js";
import { RESISTANCES } from "../../../src/core/figures/resistance.js";
import { TWO_PULSE_1 } from "../../../src/core/protocol/documents/two-pulse-1.js";
import { twoPulseForm, twoPulseLog } from "../closed-form-two-pulse.js";
import type { OutsideCheck } from "./check.js";

const METHOD = "IEC 61960-3, from memory";

const formula = RESISTANCES.find(({ key }) => key === "resistance-two-pulse");

/** U1 = 8.30 V at 1.0 A, U2 = 8.22 V at 5.0 A. */
const WORKED: Readonly<Record<string, number>> = {
  "first-pulse-voltage": 8.3,
  "first-pulse-current": 1,
  "second-pulse-voltage": 8.22,
  "second-pulse-current": 5,
};

const PACK = {
  chemistry: "lipo",
  series: 2,
  parallel: 1,
  ratedCapacityMah: 5000,
  labelContinuousC: null,
  labelBurstC: null,
  massGrams: null,
} as const;

async function ofClosedForm(): Promise<number> {
  const { rows, metadata } = twoPulseLog();
  const log = Buffer.from(`${rows.join("\n")}\n`);
  const { evaluation } = await evaluate([log], metadata, TWO_PULSE_1);
  return evaluation.figures.find(({ key }) => key === "resistance-two-pulse")?.value ?? Number.NaN;
}

export const TWO_PULSE_CHECKS: readonly OutsideCheck[] = [
  {
    what: "two-pulse resistance of 8.30 V at 1 A and 8.22 V at 5 A, mohm",
    source: `(U1 - U2) / (I2 - I1), ${METHOD}; worked by hand`,
    expected: 20,
    got: () => formula?.from((key) => WORKED[key] ?? null, PACK) ?? Number.NaN,
    digits: 12,
  },
  {
    what: "two-pulse resistance of a source behind 20 mohm and one relaxation, mohm",
    source: "closed form of the step response (derived), read over the windows of definition 25",
    expected: twoPulseForm.overWindows,
    got: ofClosedForm,
    digits: 6,
  },
  {
    what: "the same, read at the instants 10 s and 11 s, mohm",
    source: `closed form of the step response (derived); ${METHOD}`,
    expected: twoPulseForm.atInstants,
    got: ofClosedForm,
    digits: 2.3,
  },
];

import { evaluate } from "../../src/core/evaluate.js";
import type { Finding, Outcome } from "../../src/core/model.js";
import { newestProtocol } from "../support/protocols.js";
import { type HonestLog, honestLog } from "./honest-log.js";

/** Rules that say whether numbers can have been measured, on such a pack, at all. */
const PLAUSIBILITY = [
  "voltage-plausible",
  "cell-voltage-plausible",
  "power-agrees",
  "charge-agrees",
  "energy-agrees",
  "repeated-stretch",
  "noise-floor",
  "sensor-stuck",
  "start-above-ambient",
  "cell-spread-at-rest",
  "cell-spread",
  "capacity-plausible",
  "specific-energy-plausible",
  "resistance-positive",
  "resistance-by-load",
  "probes-plausible",
  "temperature-follows",
] as const;

/** What was said of many honest logs, and of some of them as formulas. */
export interface Judged {
  readonly logs: number;
  /** How often each rule came to each outcome. */
  readonly outcomes: Readonly<Record<string, Readonly<Record<Outcome, number>>>>;
  /** What honest logs were told that they fail. */
  readonly accused: readonly string[];
  /** How many courses were computed and not measured, and those that the rule on noise did not find out. */
  readonly computed: number;
  readonly undetected: readonly string[];
}

/** Every tenth log is judged as a formula too. */
const COMPUTED_EVERY = 10;

/** The plausibility of the honest logs numbered 1 to `logs`. */
export async function judge(logs: number): Promise<Judged> {
  const outcomes = Object.fromEntries(
    PLAUSIBILITY.map((rule) => [rule, { pass: 0, fail: 0, "not-assessable": 0 } as Record<Outcome, number>]),
  );
  const [accused, undetected]: [string[], string[]] = [[], []];
  let computed = 0;
  for (let seed = 1; seed <= logs; seed++) {
    const log = honestLog(seed);
    for (const { rule, outcome, message } of await findingsOf(log.text, log)) {
      const counts = outcomes[rule];
      if (counts) counts[outcome]++;
      if (counts && outcome === "fail") accused.push(`${seed} ${log.protocol} ${rule}: ${message}`);
    }
    if (seed % COMPUTED_EVERY > 0) continue;
    computed++;
    const noise = (await findingsOf(log.computed(), log)).find(({ rule }) => rule === "noise-floor");
    if (noise?.outcome !== "fail") undetected.push(`${seed} ${log.protocol}`);
  }
  return { logs, outcomes, accused, computed, undetected };
}

async function findingsOf(text: string, { facts, protocol }: HonestLog): Promise<readonly Finding[]> {
  return (await evaluate([Buffer.from(text)], facts, newestProtocol(protocol))).evaluation.findings;
}

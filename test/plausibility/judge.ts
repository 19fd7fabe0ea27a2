import { isDeepStrictEqual } from "node:util";
import { evaluate } from "../../src/core/evaluate.js";
import type { Finding, Outcome } from "../../src/core/model.js";
import type { ProtocolDocument } from "../../src/core/protocol/document.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";
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
  /** Of those, the logs of which something else is found where the run is translated. */
  readonly changed: readonly string[];
}

/** Every tenth log is judged as a formula too, and with its run translated to standard loads. */
const COMPUTED_EVERY = 10;

/** The plausibility of the honest logs numbered 1 to `logs`. */
export async function judge(logs: number): Promise<Judged> {
  const outcomes = Object.fromEntries(
    PLAUSIBILITY.map((rule) => [rule, { pass: 0, fail: 0, "not-assessable": 0 } as Record<Outcome, number>]),
  );
  const [accused, undetected, changed]: [string[], string[], string[]] = [[], [], []];
  let computed = 0;
  for (let seed = 1; seed <= logs; seed++) {
    const log = honestLog(seed);
    const protocol = newestProtocol(log.protocol);
    const untranslated = withoutTranslations(protocol);
    const findings = await findingsOf(log.text, log, untranslated);
    for (const { rule, outcome, message } of findings) {
      const counts = outcomes[rule];
      if (counts) counts[outcome]++;
      if (counts && outcome === "fail") accused.push(`${seed} ${log.protocol} ${rule}: ${message}`);
    }
    if (seed % COMPUTED_EVERY > 0) continue;
    computed++;
    if (!isDeepStrictEqual(await findingsOf(log.text, log, protocol), findings))
      changed.push(`${seed} ${log.protocol}`);
    const noise = (await findingsOf(log.computed(), log, untranslated)).find(({ rule }) => rule === "noise-floor");
    if (noise?.outcome !== "fail") undetected.push(`${seed} ${log.protocol}`);
  }
  return { logs, outcomes, accused, computed, undetected, changed };
}

async function findingsOf(text: string, { facts }: HonestLog, protocol: ProtocolDocument): Promise<readonly Finding[]> {
  return (await evaluate([Buffer.from(text)], facts, protocol)).evaluation.findings;
}

import type { Random } from "../../seed/simulator/random.js";
import { expanded } from "../../src/core/record/brake.js";
import type { RankedResult, RecordStanding } from "../../src/core/record/standing.js";
import { isReference } from "../../src/core/record/status.js";
import {
  byQuantity,
  type Community,
  type Found,
  honestTester,
  MONTH_MS,
  rankedResult,
  standingOf,
} from "./community.js";
import { MONTHS } from "./growth.js";

const NOW = MONTHS * MONTH_MS;
/** How far from the value puppets report, each the best of these in both directions for whoever attacks. */
const STEPS = [0.0025, 0.005, 0.0075, 0.01, 0.0125, 0.015, 0.02, 0.025, 0.03, 0.04, 0.05];

export const WAYS = [
  "no record",
  "bold",
  "patient",
  "creeping",
  "creeping, patient",
  "tiny u",
  "tiny u, patient",
] as const;
/**
 * - no record: fresh accounts
 * - bold: established by copies with noise, all a step away
 * - patient: the same after 180 days
 * - creeping: each one step from the value as it stands by then
 * - tiny u: as bold, stating 0.016 %
 */
export type Way = (typeof WAYS)[number];

/** What an attack did to one standing. */
export interface Outcome {
  /** Farthest that the shown value was from the one before, over it and in U before. */
  readonly share: number;
  readonly inU: number;
  /** Results that a moderator finds held, and whether the standing was disputed. */
  readonly held: number;
  readonly disputed: boolean;
}

/** Established standings of a community by how many testers make them. */
export function targetsOf(community: Community, least: number, most: number): string[] {
  return [...community.packs.keys()].filter((pack) => {
    const standing = community.rank(pack, NOW);
    return standing?.established && !standing.disputed && standing.testers >= least && standing.testers <= most;
  });
}

/** The most that k puppets reach by one way against a standing, whatever step and direction they take. */
export function attack(community: Community, pack: string, way: Way, puppets: number, random: Random): Outcome {
  const honest = community.resultsOf(pack, NOW);
  const before = standingOf(honest, community.policy, community.confirmed.get(pack) ?? null) as RecordStanding;
  let worst: Outcome = { share: 0, inU: 0, held: 0, disputed: false };
  for (const step of STEPS) {
    for (const side of [1, -1]) {
      const outcome = tried(community, honest, before, { way, puppets, step: side * step }, random);
      if (outcome.inU >= worst.inU) worst = outcome;
    }
  }
  return worst;
}

function tried(
  community: Community,
  honest: readonly RankedResult[],
  before: RecordStanding,
  { way, puppets, step }: { readonly way: Way; readonly puppets: number; readonly step: number },
  random: Random,
): Outcome {
  const status = way === "no record" ? "new" : way.endsWith("patient") ? "settled" : "established";
  const stated = way.startsWith("tiny") ? 0.00016 : 0.005;
  const results = [...honest];
  let now = before;
  let far = 0;
  let disputed = false;
  for (let i = 0; i < puppets; i++) {
    const from = way.startsWith("creeping") ? (now.computedValue ?? now.value) : before.value;
    const value = from * (1 + step) * (1 + 0.0005 * random.gaussian());
    results.push(rankedResult(`puppet ${i}`, value, stated, status));
    now = standingOf(results, community.policy, now.confirmed) as RecordStanding;
    far = Math.max(far, Math.abs(now.value - before.value));
    disputed ||= now.disputed;
  }
  const { heldTesterIds } = now;
  return { share: far / before.value, inU: far / expanded(before), held: heldTesterIds.length, disputed };
}

/** Whether puppets are established by what they make up. */
export function puppetRecords(
  community: Community,
  kind: "copies" | "invented" | "guesses",
  { puppets, packs, guessSd = 0 }: { readonly puppets: number; readonly packs: number; readonly guessSd?: number },
  random: Random,
): number {
  const references = (found: ReadonlyMap<string, Found>) =>
    [...found.keys()].filter((id) => isReference(community.statusOf(id, NOW))).length;
  const copied = [...community.packs].sort(([, a], [, b]) => references(b) - references(a)).slice(0, packs);
  const names = Array.from({ length: puppets }, (_, i) => `puppet ${kind} ${i}`);
  for (const name of names) {
    community.add({ ...honestTester(name, NOW, random, community), bias: byQuantity(() => 0) });
    for (let i = 0; i < packs; i++) {
      const pack = kind === "invented" ? `invented ${i}` : (copied[i]?.[0] as string);
      // Of sealed packs one is guessed; the rest of the record is copied.
      const isGuess = kind === "guesses" && i === 0;
      const scale = isGuess ? { power: 1, capacity: 0.8, resistance: 5 } : { power: 1, capacity: 1, resistance: 1 };
      const sd = isGuess ? guessSd : 0.002;
      const value = byQuantity((one) => sd * scale[one] * random.gaussian());
      community.store(pack, name, { value, sealed: isGuess });
    }
  }
  const passed = names.filter((name) => community.judge(name, NOW)).length;
  for (const name of names) {
    community.testers.delete(name);
    for (const found of community.packs.values()) found.delete(name);
  }
  return passed / puppets;
}

import type { Random } from "../../seed/simulator/random.js";
import type { ConfirmedValue } from "../../src/core/record/brake.js";
import type { QuantityPairs } from "../../src/core/record/judgement.js";
import { judgementOf } from "../../src/core/record/judgement.js";
import type { StandingPolicy } from "../../src/core/record/policy.js";
import { RECORD_QUANTITIES, type RecordQuantity } from "../../src/core/record/quantities.js";
import { leastReproducibility } from "../../src/core/record/reproducibility.js";
import { type RankedResult, type RecordStanding, recordStanding } from "../../src/core/record/standing.js";
import { isReference, statusAt } from "../../src/core/record/status.js";
import type { Population } from "./population.js";

export const DAY_MS = 86_400_000;
export const MONTH_MS = 30 * DAY_MS;

/** What a tester found of one pack, over the truth less one, by quantity: the mean of the own runs. */
export interface Found {
  readonly value: Readonly<Record<RecordQuantity, number>>;
  readonly sealed: boolean;
}

/** A simulated tester. Times in ms from the community's founding. */
export interface SimulatedTester {
  readonly id: string;
  readonly calibrated: boolean;
  readonly bias: Readonly<Record<RecordQuantity, number>>;
  /** Stated standard uncertainty, over the value. */
  readonly stated: number;
  vouchedAt: number | null;
  establishedSince: number | null;
  readonly joined: number;
  runs: number;
}

const FIGURE_OF = { power: "power-10s", capacity: "capacity", resistance: "resistance-10s" } as const;
/** s_R of the figure that a quantity is judged by. */
export const sdOf = (quantity: RecordQuantity): number => leastReproducibility(FIGURE_OF[quantity]);
/** Errors of other quantities scatter as their s_R does beside that of powers. */
const scaleOf = (quantity: RecordQuantity): number => sdOf(quantity) / sdOf("power");
export const byQuantity = <T>(make: (quantity: RecordQuantity) => T): Record<RecordQuantity, T> =>
  Object.fromEntries(RECORD_QUANTITIES.map((quantity) => [quantity, make(quantity)])) as Record<RecordQuantity, T>;

/** Moderators vouch for people whose benches they know: for these alone it is taken that they are calibrated. */
export function honestTester(
  id: string,
  joined: number,
  random: Random,
  { population, mayBeUncalibrated = true }: { readonly population: Population; readonly mayBeUncalibrated?: boolean },
): SimulatedTester {
  const calibrated = !mayBeUncalibrated || random.uniform() >= population.uncalibrated;
  const bias = byQuantity((quantity) => {
    const off = random.between(...population.off) * (random.uniform() < 0.5 ? -1 : 1);
    return scaleOf(quantity) * (calibrated ? population.bias * random.gaussian() : off);
  });
  const stated = random.between(0.003, 0.01);
  return { id, calibrated, bias, stated, vouchedAt: null, establishedSince: null, joined, runs: 0 };
}

/** What a tester finds of a pack. */
export function measure(
  { bias }: SimulatedTester,
  random: Random,
  { specimens, repeats }: Population,
  sealed = false,
): Found {
  const value = byQuantity(
    (quantity) => bias[quantity] + scaleOf(quantity) * (specimens * random.gaussian() + repeats * random.gaussian()),
  );
  return { value, sealed };
}

/** Packs by name, and what testers found of each; standings, records and what is confirmed follow by the service's own functions. */
export class Community {
  readonly testers = new Map<string, SimulatedTester>();
  readonly packs = new Map<string, Map<string, Found>>();
  readonly confirmed = new Map<string, ConfirmedValue>();

  constructor(
    readonly policy: StandingPolicy,
    readonly population: Population,
  ) {}

  add(tester: SimulatedTester): SimulatedTester {
    this.testers.set(tester.id, tester);
    return tester;
  }

  store(packId: string, testerId: string, found: Found): void {
    const pack = this.packs.get(packId) ?? new Map<string, Found>();
    pack.set(testerId, found);
    this.packs.set(packId, pack);
    (this.testers.get(testerId) as SimulatedTester).runs++;
  }

  statusOf(testerId: string, now: number) {
    return statusAt(this.testers.get(testerId) as SimulatedTester, now);
  }

  /** Judges a tester by what everybody has found until now. */
  judge(testerId: string, now: number): boolean {
    return this.judgementOf(testerId, now).agrees;
  }

  private judgementOf(testerId: string, now: number) {
    const tester = this.testers.get(testerId) as SimulatedTester;
    const shared = [...this.packs].flatMap(([packId, pack]) => {
      const own = pack.get(testerId);
      const references = [...pack].filter(([id]) => id !== testerId && isReference(this.statusOf(id, now)));
      return own && references.length > 0 ? [{ packId, own, references }] : [];
    });
    const pairs = new Map<RecordQuantity, QuantityPairs>(
      RECORD_QUANTITIES.map((quantity) => [
        quantity,
        {
          relativeSd: sdOf(quantity),
          pairs: shared.map(({ packId, own, references }) => ({
            packId,
            value: 1 + own.value[quantity],
            statedUncertainty: tester.stated,
            sealed: own.sealed,
            references: references.map(([id, found]) => ({ testerId: id, value: 1 + found.value[quantity] })),
          })),
        },
      ]),
    );
    const { sealedFrom } = this.policy;
    const count = [...this.testers.values()].filter(
      (one) => one.vouchedAt !== null || one.establishedSince !== null,
    ).length;
    const needsSealed = sealedFrom !== null && tester.establishedSince === null && count >= sealedFrom;
    return judgementOf(pairs, needsSealed);
  }

  /** Judges everybody, until nobody's status changes. */
  judgeAll(now: number): void {
    for (let changed = true; changed; ) {
      changed = false;
      for (const tester of this.testers.values()) {
        const agrees = this.judge(tester.id, now);
        if (agrees === (tester.establishedSince !== null)) continue;
        const wasReference = isReference(this.statusOf(tester.id, now));
        tester.establishedSince = agrees ? now : null;
        changed ||= wasReference !== isReference(this.statusOf(tester.id, now));
      }
    }
  }

  resultsOf(packId: string, now: number): RankedResult[] {
    return [...(this.packs.get(packId) ?? [])].map(([testerId, { value }]) => {
      const { stated } = this.testers.get(testerId) as SimulatedTester;
      return rankedResult(testerId, 1 + value.power, stated, this.statusOf(testerId, now));
    });
  }

  /** The standing of a pack by power, and what is confirmed from then on. */
  rank(packId: string, now: number): RecordStanding | null {
    const standing = standingOf(this.resultsOf(packId, now), this.policy, this.confirmed.get(packId) ?? null);
    if (standing?.confirmed) this.confirmed.set(packId, standing.confirmed);
    return standing;
  }
}

export const rankedResult = (
  testerId: string,
  value: number,
  stated: number,
  status: RankedResult["status"],
): RankedResult => ({
  testerId,
  value,
  uncertainty: stated * value,
  degreesOfFreedom: null,
  parts: [],
  common: 0,
  recordUncertainty: 0,
  status,
  runs: 1,
  decision: null,
});

export const standingOf = (
  results: readonly RankedResult[],
  policy: StandingPolicy,
  confirmed: ConfirmedValue | null,
): RecordStanding | null =>
  recordStanding(results, { policy, relativeSd: sdOf("power"), confirmed, mayBeEstablished: true });

import type { Random } from "../../seed/simulator/random.js";
import { DEFAULT_POLICY, type StandingPolicy } from "../../src/core/record/policy.js";
import { Community, honestTester, MONTH_MS, measure, type SimulatedTester } from "./community.js";
import type { Population } from "./population.js";

export const MONTHS = 24;

export interface GrowthOptions {
  readonly testers: number;
  readonly population: Population;
  readonly policy?: StandingPolicy;
  /** The most active ones of the first month. */
  readonly vouched?: number;
  /** Share of the testers who take part in a sealed round, one a quarter; none are held when 0. */
  readonly attendance?: number;
  readonly allVouched?: boolean;
}

/** An honest community after two years, month by month. */
export function grow(
  {
    testers: count,
    population,
    policy = DEFAULT_POLICY,
    vouched = 4,
    attendance = 0,
    allVouched = false,
  }: GrowthOptions,
  random: Random,
): Community {
  const community = new Community(policy, population);
  const plans = new Map<string, { month: number; pack: string }[]>();
  for (let i = 0; i < count; i++) {
    const isFounder = i < vouched || allVouched;
    const joined = isFounder ? 0 : Math.floor(random.uniform() * 12);
    const tester = community.add(
      honestTester(`t${i}`, joined * MONTH_MS, random, { population, mayBeUncalibrated: !isFounder }),
    );
    if (isFounder) tester.vouchedAt = 0;
    plans.set(tester.id, planOf(tester, { joined, isFounder, population }, random));
  }
  for (let month = 0; month < MONTHS; month++) {
    const now = month * MONTH_MS;
    for (const [id, plan] of plans) {
      const tester = community.testers.get(id) as SimulatedTester;
      for (const { pack } of plan.filter((one) => one.month === month)) {
        community.store(pack, id, measure(tester, random, population));
        community.rank(pack, now);
      }
    }
    if (attendance > 0 && month % 3 === 2) holdRound(community, `sealed ${month}`, attendance, now, random);
    community.judgeAll(now);
    for (const pack of community.packs.keys()) community.rank(pack, now);
  }
  return community;
}

/** Packs that a tester measures, and when: popular ones more often. */
function planOf(
  tester: SimulatedTester,
  {
    joined,
    isFounder,
    population: { packs: count, packsOfATester },
  }: { readonly joined: number; readonly isFounder: boolean; readonly population: Population },
  random: Random,
) {
  const wanted = Math.max(1, Math.round(packsOfATester * Math.exp(0.8 * random.gaussian()) * (isFounder ? 1.5 : 1)));
  const packs = new Set<string>();
  while (packs.size < Math.min(wanted, count / 2)) {
    packs.add(`pack ${Math.min(count - 1, Math.floor(count ** random.uniform() - 1))}`);
  }
  const last = MONTHS - joined;
  return [...packs].map((pack) => ({ pack, month: joined + Math.floor(random.uniform() * last), tester: tester.id }));
}

function holdRound(community: Community, pack: string, attendance: number, now: number, random: Random): void {
  for (const tester of community.testers.values()) {
    if (tester.joined <= now && random.uniform() < attendance)
      community.store(pack, tester.id, measure(tester, random, community.population, true));
  }
}

/** What a community has come to. */
export interface Grown {
  /** Packs with three testers or more, and those of them with an established standing. */
  readonly packs: number;
  readonly established: number;
  /** Share of the calibrated testers of the first year with four packs or more who are not established. */
  readonly keptOut: number;
  /** Share of the others of the first year with four packs or more who are. */
  readonly letIn: number;
  /** Share of established standings that are disputed, and of results in them that are held, with nobody dishonest. */
  readonly disputed: number;
  readonly held: number;
}

export function measured(community: Community, minTesters = 3): Grown {
  const now = MONTHS * MONTH_MS;
  const active = [...community.testers.values()].filter(
    ({ runs, joined, vouchedAt }) => vouchedAt === null && runs >= 4 && joined < 12 * MONTH_MS,
  );
  const honest = active.filter(({ calibrated }) => calibrated);
  const off = active.filter(({ calibrated }) => !calibrated);
  const isIn = ({ id }: SimulatedTester) => community.statusOf(id, now) !== "new";
  const candidates = [...community.packs].filter(([, found]) => found.size >= minTesters);
  const standings = candidates.flatMap(([pack]) => community.rank(pack, now) ?? []).filter((one) => one.established);
  const results = standings.reduce((sum, one) => sum + one.testers + one.heldTesterIds.length, 0);
  return {
    packs: candidates.length,
    established: standings.length,
    keptOut: honest.filter((one) => !isIn(one)).length / Math.max(1, honest.length),
    letIn: off.filter(isIn).length / Math.max(1, off.length),
    disputed: standings.length > 0 ? standings.filter((one) => one.disputed).length / standings.length : 0,
    held: results > 0 ? standings.reduce((sum, one) => sum + one.heldTesterIds.length, 0) / results : 0,
  };
}

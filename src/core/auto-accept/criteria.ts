import { hypot } from "../numerics/hypot.js";
import type { Estimate } from "../statistics/estimate.js";
import { COVERAGE_FACTOR } from "../uncertainty/coverage-factor.js";

/** How much a rule that accepts runs without a moderator asks for. All of it is common practice, no published source. */
export interface AutoAcceptLimits {
  /** Fewest runs of the tester that moderators accepted and that still stand. */
  readonly moderatorAcceptances: number;
  /** Days within which no run of the tester was rejected and no decision on one taken back. */
  readonly noRejectionDays: number;
  /** Least age of the tester's account, days. */
  readonly accountDays: number;
  /** Fewest other testers who have measured the pack. */
  readonly otherTesters: number;
  /** Farthest that a ranked figure may be from what the others found, % of it. */
  readonly maxDeviationPercent: number;
  /** Most runs of one tester that are accepted by the rule within 24 h. */
  readonly maxPerDay: number;
  /** One in so many runs goes to a moderator all the same. */
  readonly sampleOneIn: number;
}

/** A ranked figure of the run's protocol, and what accepting the run would do to it. */
export interface RankedEffect {
  readonly figure: string;
  /** The standard load, A; null under the runs' own loads, and where the run reaches no standard load. */
  readonly load: number | null;
  /** What the run found; null when it has no such figure by itself, or only a bound. */
  readonly own: Estimate | null;
  /** What the other testers found together; null when nobody did. */
  readonly others: (Estimate & { readonly testers: number }) | null;
  /** The pack's place among all packs now, and with the run; null where it has none. */
  readonly placeBefore: number | null;
  readonly placeAfter: number | null;
}

/** What is known of a run that waits. */
export interface AutoAcceptFacts {
  /** It waits, in no other run's place, and nobody has decided on it, asked, appealed, claimed it or proposed anything. */
  readonly isUntouched: boolean;
  readonly verdict: string | null;
  /** Evaluated under the active version of its protocol. */
  readonly isActiveVersion: boolean;
  readonly failedAdvice: number;
  /** Compared with all other runs since it was evaluated. */
  readonly isCompared: boolean;
  /** Earlier runs that look like one measurement with it, whatever was decided on them, and later ones that were accepted. */
  readonly copies: number;
  /** Earlier runs with the very same log, also withdrawn ones. */
  readonly sameLogs: number;
  /**
   * Conforming runs of the tester that were withdrawn before a moderator decided on them, and runs that the tester moved to another pack when
   * their figures had been seen and that no moderator has accepted or moved since; in whose place none has decided on another one since: on one of
   * the same pack, where this run is of that pack.
   */
  readonly withdrawnUnseen: number;
  readonly moderatorAcceptances: number;
  /** Rejections and decisions taken back on runs of the tester, within the clean days. */
  readonly blemishes: number;
  readonly accountDays: number;
  /** Whether the tester registered the pack. */
  readonly isOwnPack: boolean;
  /** Runs of the tester that the rule accepted within 24 h. */
  readonly acceptedToday: number;
  /** Whether it is one of those that a moderator looks at all the same. */
  readonly isSampled: boolean;
  readonly effects: readonly RankedEffect[];
}

/** One term of the rule and how a run meets it. */
export interface CriterionOutcome {
  readonly term: AutoAcceptCriterion;
  readonly met: boolean;
  readonly observed: number | null;
  readonly limit: number | null;
}

/** A term looks at the facts and says what it saw, against which limit. */
type Look = (facts: AutoAcceptFacts, limits: AutoAcceptLimits) => Omit<CriterionOutcome, "term">;

const yes = (met: boolean) => ({ met, observed: null, limit: null });
const atLeast = (observed: number, limit: number) => ({ met: observed >= limit, observed, limit });
const atMost = (observed: number, limit: number) => ({ met: observed <= limit, observed, limit });
const none = (observed: number) => atMost(observed, 0);

/** Largest of a measure over the ranked figures; endless where one of them cannot be measured so. */
function largest(effects: readonly RankedEffect[], measure: (own: Estimate, others: Estimate) => number): number {
  return effects.reduce(
    (most, { own, others }) => Math.max(most, own && others ? measure(own, others) : Number.POSITIVE_INFINITY),
    effects.length > 0 ? 0 : Number.POSITIVE_INFINITY,
  );
}

/** The terms, each keeping out one way in which a lucky or dishonest run could count unseen. */
const TERMS = {
  untouched: ({ isUntouched }) => yes(isUntouched),
  "active-version": ({ isActiveVersion }) => yes(isActiveVersion),
  conforming: ({ verdict }) => yes(verdict === "conforming" || verdict === "conforming-adjusted"),
  "no-failed-advice": ({ failedAdvice }) => none(failedAdvice),
  compared: ({ isCompared }) => yes(isCompared),
  "no-copy": ({ copies }) => none(copies),
  "new-log": ({ sameLogs }) => none(sameLogs),
  "accepted-by-moderators": (facts, limits) => atLeast(facts.moderatorAcceptances, limits.moderatorAcceptances),
  "no-blemish": ({ blemishes }) => none(blemishes),
  "account-age": (facts, limits) => atLeast(facts.accountDays, limits.accountDays),
  "pack-of-another": ({ isOwnPack }) => yes(!isOwnPack),
  "ranked-by-itself": ({ effects }) => yes(effects.length > 0 && effects.every(({ own }) => own !== null)),
  "other-testers": ({ effects }, limits) => {
    // A figure is one measurement at all its loads; benches reach different ones, so the load that most of them reach tells.
    const most = [...Map.groupBy(effects, ({ figure }) => figure).values()].map((atLoads) =>
      Math.max(...atLoads.map(({ others }) => others?.testers ?? 0)),
    );
    return atLeast(most.length > 0 ? Math.min(...most) : 0, limits.otherTesters);
  },
  // An uncertainty that is stated too large lets nothing far away in: that is what `near` is for.
  "agrees-with-others": ({ effects }) =>
    atMost(
      largest(
        effects,
        (own, others) => Math.abs(own.value - others.value) / hypot(own.uncertainty, others.uncertainty),
      ),
      COVERAGE_FACTOR,
    ),
  "near-others": ({ effects }, limits) =>
    atMost(
      largest(effects, (own, others) => (100 * Math.abs(own.value - others.value)) / Math.abs(others.value)),
      limits.maxDeviationPercent,
    ),
  // The run changes no other pack's value: where the pack keeps its place among all, nobody's changes in any class either.
  "places-stay": ({ effects }) =>
    yes(effects.every(({ placeBefore, placeAfter }) => placeBefore !== null && placeBefore === placeAfter)),
  "few-today": ({ acceptedToday }, { maxPerDay }) => atMost(acceptedToday + 1, maxPerDay),
  // Who withdraws what was drawn, or might have been, draws no other lot: the next run is looked at.
  "none-withdrawn-unseen": ({ withdrawnUnseen }) => none(withdrawnUnseen),
  "not-sampled": ({ isSampled }) => yes(!isSampled),
} as const satisfies Readonly<Record<string, Look>>;

export type AutoAcceptCriterion = keyof typeof TERMS;
export const AUTO_ACCEPT_CRITERIA = Object.keys(TERMS) as readonly AutoAcceptCriterion[];

/** How a run meets each term of the rule. It is accepted when it meets them all. */
export function criteriaMet(facts: AutoAcceptFacts, limits: AutoAcceptLimits): CriterionOutcome[] {
  return AUTO_ACCEPT_CRITERIA.map((term) => ({ term, ...(TERMS[term] as Look)(facts, limits) }));
}

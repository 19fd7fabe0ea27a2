import type { StandingPolicy } from "../record/policy.js";

export const RANKING_GAPS = ["no-results", "too-few-reference-testers", "too-few-testers"] as const;
/** Why no standing of a class is established. */
export type RankingGap = (typeof RANKING_GAPS)[number];

/** What decides whether a class can have established standings. */
export interface RankingGapFacts {
  /** Standings of the class, and how many of them are established. */
  readonly standings: number;
  readonly established: number;
  /** Reference testers of the service, whatever they have measured. */
  readonly referenceTesters: number;
  readonly policy: Pick<StandingPolicy, "referenceTesters">;
}

/** The first thing that keeps a class from having established standings; null where it has one. */
export function rankingGap({ standings, established, referenceTesters, policy }: RankingGapFacts): RankingGap | null {
  if (established > 0) return null;
  if (referenceTesters < policy.referenceTesters) return "too-few-reference-testers";
  return standings === 0 ? "no-results" : "too-few-testers";
}

import type { RankingPage } from "./orders/ranking-pages.service.js";
import type { RankingList } from "./rankings.views.js";

/** What a page of a ranking says beside its standings. */
export type RankingFacts = Omit<RankingList, "items" | "pageInfo">;

export function rankingFacts(page: RankingPage): RankingFacts {
  const { load, loads, established, provisional, referenceTesters, gap } = page;
  const { testers, referenceTesters: ofThem, vouchedOnly } = page.policy;
  const policy = { testers, referenceTesters: ofThem, vouchedOnly };
  return { load, loads: [...loads], established, provisional, policy, referenceTesters, gap };
}

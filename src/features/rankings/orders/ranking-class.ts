import type { StandingsShown } from "../../../core/ranking/changing-order.js";
import type { PackFilter } from "../../../core/ranking/ranked-packs.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import type { RankingArgs } from "../rankings.args.js";

/** Which standings a ranking is among, in which order and as of when. */
export interface RankingClass {
  readonly filter: PackFilter;
  readonly shown: StandingsShown;
  readonly worstFirst: boolean;
  /** Just before it; null for now. */
  readonly instant: Date | null;
}

const DAY_MS = 24 * 60 * 60 * 1000;

/** @throws Problem when `asOf` is no day, or one to come */
export function rankingClassOf(args: RankingArgs, now: Date): RankingClass {
  const { chemistry, series, maker, connector, capacityMin, capacityMax, massMin, massMax } = args;
  return {
    filter: {
      chemistries: sorted(chemistry),
      series: [...(series ?? [])].sort((a, b) => a - b),
      makers: sorted(maker),
      connectors: sorted(connector),
      capacityMin: capacityMin ?? null,
      capacityMax: capacityMax ?? null,
      massMin: massMin ?? null,
      massMax: massMax ?? null,
    },
    shown: args.standing ?? "established",
    worstFirst: args.order === "worst-first",
    instant: args.asOf == null ? null : endOfDay(args.asOf, now),
  };
}

/** What a cursor of a ranking is bound to. */
export function cursorFilters({ filter, shown, worstFirst, instant }: RankingClass) {
  const { chemistries, series, makers, connectors, ...bands } = filter;
  const lists = Object.entries({ chemistries, series, makers, connectors }).filter(([, list]) => list.length > 0);
  return {
    ...Object.fromEntries(lists.map(([name, list]) => [name, JSON.stringify(list)])),
    ...bands,
    shown,
    worstFirst: worstFirst || null,
    instant: instant?.toISOString() ?? null,
  };
}

const sorted = (words: readonly string[] | null | undefined) =>
  [...(words ?? [])].map((word) => word.toLowerCase()).sort();

/** The instant at which a day ends; null for the present day, which has not ended. */
function endOfDay(day: string, now: Date): Date | null {
  const start = new Date(`${day}T00:00:00Z`);
  if (Number.isNaN(start.getTime()) || start.toISOString().slice(0, 10) !== day) {
    throw invalidInput([{ pointer: "/asOf", message: "must be a date, such as 2026-05-02" }]);
  }
  if (start > now) throw invalidInput([{ pointer: "/asOf", message: "must not be in the future" }]);
  const end = new Date(start.getTime() + DAY_MS);
  return end > now ? null : end;
}

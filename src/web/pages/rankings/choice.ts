import type { View } from "../../api/public-api.js";
import type { PageRequest } from "../../page.js";

/** What a ranking is of. */
export interface RankingChoice {
  readonly figure: View<"FigureDefinitionView">;
  readonly ofClass: View<"PackClassView">;
  /** A; null under the runs' own loads, or where the class has none. */
  readonly load: number | null;
  readonly figures: readonly View<"FigureDefinitionView">[];
  readonly classes: readonly View<"PackClassView">[];
}

const USUAL_FIGURE = "power-10s";
const MAX_ITEMS = 100;

/**
 * Reads what is asked for; what is left out is the best known. Null while there are no results.
 *
 * @throws ApiProblem for a figure by which nothing is ranked; class and load are held against the API with the ranking itself
 */
export async function chooseRanking({ api, query }: PageRequest): Promise<RankingChoice | null> {
  const { items: figures } = await api.get("/v1/figures", { query: { ranked: true, first: MAX_ITEMS } });
  const asked = query.get("figure") || USUAL_FIGURE;
  const { items: known } = await api.get("/v1/classes", { query: { figure: asked, first: MAX_ITEMS } });
  const figure = figures.find(({ key }) => key === asked);
  if (!figure) return null;
  const name = query.get("class");
  const found = name ? known.find((one) => classKey(one) === name) : mostOf(known, knownIn);
  const ofClass = found ?? (name ? classOf(name) : null);
  if (!ofClass) return null;
  const classes = found ? known : [...known, ofClass];
  const load = query.get("load") ? Number(query.get("load")) : (mostOf(ofClass.loads, knownAt)?.load ?? null);
  return { figure, figures, classes, ofClass, load };
}

/** A class in an address, such as "lipo-4". */
export const classKey = ({ chemistry, series }: View<"PackClassView">): string => `${chemistry}-${series}`;

/** A class of which nothing is known, by what an address says; the API refuses what is none. */
function classOf(name: string): View<"PackClassView"> {
  const [, chemistry = name, series = "0"] = /^(.*)-(\d+)$/.exec(name) ?? [];
  return { chemistry: chemistry as View<"PackClassView">["chemistry"], series: Number(series), packs: 0, loads: [] };
}

/** Established standings weigh more than any number of provisional ones. */
const knownAt = ({ standings, established }: View<"ClassLoadView">): number => established * 1_000 + standings;
const knownIn = ({ loads }: View<"PackClassView">): number => Math.max(0, ...loads.map(knownAt));

function mostOf<T>(items: readonly T[], weight: (item: T) => number): T | undefined {
  return items.reduce<T | undefined>(
    (most, item) => (most === undefined || weight(item) > weight(most) ? item : most),
    undefined,
  );
}

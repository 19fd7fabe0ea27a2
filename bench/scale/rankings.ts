import { peerQuery } from "./graphql-peer.js";
import { getJson } from "./load.js";
import type { Stage } from "./stage.js";

export interface RankingPage {
  readonly name: string;
  readonly path: string;
  /** The same page of the peer. */
  readonly peerPath: string;
  readonly graphql: string;
  /** And of the peer that speaks GraphQL. */
  readonly peerGraphql: string;
}

interface Page {
  readonly items: readonly { readonly value: number }[];
  readonly pageInfo: { readonly endCursor: string; readonly hasNextPage: boolean };
}

const FIELDS = `load loads pageInfo { hasNextPage endCursor } edges { node { place placeRange value unit uncertainty degreesOfFreedom
  coverageFactor basis load ownLoadValue testers runs established protocolVersion computationVersion tiedWith
  pack { id maker name chemistry series parallel ratedCapacityMah labelContinuousC labelBurstC massGrams connector } } }`;

/** Some pages of a ranking, as far as it has them: 1 is the first. */
export async function pagesOf(
  { service }: Stage,
  { figure, load, filter = "", numbers }: { figure: string; load: number; filter?: string; numbers: readonly number[] },
): Promise<RankingPage[]> {
  const base = `/v1/rankings/${figure}?standing=all${load > 0 ? `&load=${load}` : ""}${filter}`;
  const pages: RankingPage[] = [];
  let after = "";
  let below = Number.MAX_VALUE;
  let number = 1;
  const conditions = new URLSearchParams(filter);
  for (const wanted of numbers) {
    while (number < wanted) {
      const first = Math.min(100, (wanted - number) * 25);
      const page = await getJson<Page>(`${service}${base}&first=${first}${after && `&after=${after}`}`);
      if (!page.pageInfo.hasNextPage) return pages;
      after = page.pageInfo.endCursor;
      below = page.items.at(-1)?.value ?? 0;
      number += first / 25;
    }
    const args = [
      `figure: ${figure.replaceAll("-", "_").toUpperCase()}`,
      "standing: ALL",
      ...(load > 0 ? [`load: ${load}`] : []),
      ...[...conditions].map(
        ([name, value]) => `${name}: ${/\d/.test(value) ? value : value.replaceAll("-", "_").toUpperCase()}`,
      ),
      ...(after ? [`after: "${after}"`] : []),
    ];
    pages.push({
      name: `page ${wanted}`,
      path: `${base}${after && `&after=${after}`}`,
      peerPath: `/page?figure=${figure}&load=${load}&below=${below}${filter}`,
      graphql: `{ ranking(${args.join(", ")}) { ${FIELDS} } }`,
      peerGraphql: peerQuery({ figure, load, filter }, wanted),
    });
  }
  return pages;
}

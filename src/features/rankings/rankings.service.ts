import { Injectable } from "@nestjs/common";
import { PROTOCOLS } from "../../core/protocol/index.js";
import { decodeCursor } from "../../platform/paging/cursor.js";
import { type Page, readPage } from "../../platform/paging/page.js";
import { Problem } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import type { RankingArgs, StandingView } from "./rankings.views.js";
import { type StandingRow, StandingsRepository } from "./standings.repository.js";
import { countingVersion } from "./standings.service.js";

/** The protocols that rank packs, in the order in which they are asked for a figure. */
const PROTOCOL_KEYS = [...new Set(PROTOCOLS.map(({ key }) => key))];

@Injectable()
export class RankingsService {
  constructor(
    private readonly standings: StandingsRepository,
    private readonly packs: PacksService,
  ) {}

  async rank(figure: string, args: RankingArgs): Promise<Page<StandingView>> {
    const protocolKey = protocolRanking(figure);
    const { chemistry = null, series = null, capacityMin = null, capacityMax = null } = args;
    const ranking = { protocolKey, figure, chemistry, series, capacityMin, capacityMax };
    const behind = args.after ? behindOf(args.after) : null;
    const page = await readPage(
      args,
      (take) => this.standings.page(ranking, behind, take),
      ({ sortValue, packId }) => [sortValue, packId],
    );
    const packs = await this.packs.byIds(page.items.map(({ packId }) => packId));
    return { ...page, items: page.items.map((row) => standingView(row, packs.get(row.packId) as PackView)) };
  }
}

function protocolRanking(figure: string): string {
  const ranked = (protocolKey: string) => countingVersion(protocolKey)?.ranked.map((one) => one.figure) ?? [];
  const key = PROTOCOL_KEYS.find((protocolKey) => ranked(protocolKey).includes(figure));
  if (key) return key;
  const known = PROTOCOL_KEYS.flatMap(ranked);
  throw new Problem("not-found", `Packs are not ranked by this figure. They are ranked by: ${known.join(", ")}.`);
}

function behindOf(cursor: string): { sortValue: number; packId: string } {
  const [sortValue, packId] = decodeCursor(cursor, ["number", "uuid"]);
  return { sortValue: Number(sortValue), packId: String(packId) };
}

function standingView(
  { packId: _, sortValue: __, bestPlace, worstPlace, ...row }: StandingRow,
  pack: PackView,
): StandingView {
  return { ...row, placeRange: [bestPlace, worstPlace], pack };
}

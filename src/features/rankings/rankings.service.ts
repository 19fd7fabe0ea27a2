import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { coverageFactor } from "../../core/uncertainty/coverage-factor.js";
import { decodeCursor } from "../../platform/paging/cursor.js";
import { type Page, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { packStanding } from "./pack-standing.js";
import type { PackStandingView } from "./pack-standing.views.js";
import type { RankingArgs, StandingView } from "./rankings.views.js";
import { type StandingRow, StandingsRepository } from "./standings.repository.js";
import { StandingsService, sideOf } from "./standings.service.js";

@Injectable()
export class RankingsService {
  constructor(
    private readonly standingsRepository: StandingsRepository,
    private readonly standingsService: StandingsService,
    private readonly packsService: PacksService,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  async rank(figure: string, args: RankingArgs): Promise<Page<StandingView>> {
    const { key: protocolKey } = (await this.rankedBy(figure, args.protocol)).protocol;
    const { chemistry = null, series = null, capacityMin = null, capacityMax = null } = args;
    const ranking = { protocolKey, figure, chemistry, series, capacityMin, capacityMax };
    const behind = args.after ? behindOf(args.after) : null;
    const page = await readPage(
      args,
      (take) => this.standingsRepository.page(ranking, behind, take),
      ({ sortValue, packId }) => [sortValue, packId],
    );
    const packs = await this.packsService.byIds(page.items.map(({ packId }) => packId));
    return { ...page, items: page.items.map((row) => standingView(row, packs.get(row.packId) as PackView)) };
  }

  /** What stands behind a pack's value in the ranking by a figure. */
  async standing(figure: string, packId: string, protocolKey?: string | null): Promise<PackStandingView> {
    const { protocol, basis } = await this.rankedBy(figure, protocolKey);
    const pack = await this.packsService.get(packId);
    const counted = await this.standingsService.countedOf(pack.id, protocol);
    const rows = counted.filter((row) => row.figure === figure && sideOf(row) === basis);
    if (rows.length === 0) throw notFound("standing");
    return packStanding(pack, basis, rows);
  }

  /** The protocol asked for, or the first one, that ranks packs by a figure, and the load under which it does. */
  private async rankedBy(figure: string, protocolKey: string | null = null): Promise<RankedFigure> {
    const ranked = (await this.activeVersionService.list()).flatMap(({ protocol }) =>
      protocol.ranked.map((one) => ({ protocol, ...one })),
    );
    const offered = ranked.filter(({ protocol }) => protocolKey === null || protocol.key === protocolKey);
    const found = offered.find((one) => one.figure === figure);
    if (found) return found;
    const known = (words: readonly string[]) => [...new Set(words)].join(", ");
    if (offered.length === 0) {
      const keys = known(ranked.map(({ protocol }) => protocol.key));
      throw new Problem("not-found", `No such protocol ranks packs. Those that do are: ${keys}.`);
    }
    const figures = known(offered.map((one) => one.figure));
    throw new Problem("not-found", `Packs are not ranked by this figure. They are ranked by: ${figures}.`);
  }
}

interface RankedFigure {
  readonly protocol: ProtocolDocument;
  readonly basis: string;
}

function behindOf(cursor: string): { sortValue: number; packId: string } {
  const [sortValue, packId] = decodeCursor(cursor, ["number", "uuid"]);
  return { sortValue: Number(sortValue), packId: String(packId) };
}

function standingView(
  { packId: _, sortValue: __, bestPlace, worstPlace, ...row }: StandingRow,
  pack: PackView,
): StandingView {
  const placeRange = [bestPlace, worstPlace];
  return { ...row, placeRange, coverageFactor: coverageFactor(row.degreesOfFreedom), pack };
}

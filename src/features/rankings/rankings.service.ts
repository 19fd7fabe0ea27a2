import { Injectable } from "@nestjs/common";
import type { Chemistry } from "../../core/inputs/pack.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { columnOfLoad, loadOfColumn } from "../../platform/database/rows/load-column.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { requireStandardLoad } from "../../platform/http/requests/standard-load.js";
import { mapPage, type Page, readPage } from "../../platform/paging/page.js";
import { pageOf } from "../../platform/paging/page-of.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { ActiveVersionService, ofProtocol, type RankedVersionRow } from "../protocols/active-version.service.js";
import { ClassCounts } from "./classes/class-counts.js";
import type { ClassesArgs, PackClassView } from "./classes/classes.views.js";
import { rankingClassOf } from "./orders/ranking-class.js";
import { type RankingPage, RankingPagesService } from "./orders/ranking-pages.service.js";
import type { PackPlaceView, PackStandingsArgs } from "./pack-places.views.js";
import { packStanding } from "./pack-standing.js";
import type { PackStandingView } from "./pack-standing.views.js";
import { placesOf, placeView } from "./place-view.js";
import { PlacesRepository } from "./places.repository.js";
import type { RankingArgs, StandingArgs } from "./rankings.args.js";
import type { FigureStanding } from "./results/pack-figures.js";
import { type CountedFigure, StandingsRepository } from "./standings.repository.js";
import { StandingsService, sideOf } from "./standings.service.js";

@Injectable()
export class RankingsService {
  constructor(
    private readonly standingsRepository: StandingsRepository,
    private readonly standingsService: StandingsService,
    private readonly packsService: PacksService,
    private readonly activeVersionService: ActiveVersionService,
    private readonly placesRepository: PlacesRepository,
    private readonly classCounts: ClassCounts,
    private readonly rankingPagesService: RankingPagesService,
  ) {}

  /** A page of a ranking; without a load, at the one with most established standings of the class. */
  async rank(figure: string, args: RankingArgs, seen?: readonly RankedVersionRow[]): Promise<RankingPage> {
    const revisions = seen ?? (await this.activeVersionService.revisions());
    const { protocol, basis } = await this.rankedBy(figure, args.protocol, revisions);
    const { first = null, after = null, last = null, before = null } = args;
    const request = {
      protocolKey: protocol.key,
      figure,
      load: loadAsked(args.load, basis),
      hasLoads: basis === "translated",
      members: rankingClassOf(args, new Date()),
      part: { first, after, last, before },
    };
    const revision = revisions.find(({ key }) => key === protocol.key)?.revision;
    return this.rankingPagesService.get(request, Number(revision));
  }

  /** What changes whenever a page of a ranking does. */
  async revision({ protocol }: Pick<RankingArgs, "protocol">): Promise<object> {
    return ofProtocol(await this.revisions(), protocol);
  }

  /** How often the rankings under each protocol have changed, and its active version. */
  revisions(): Promise<RankedVersionRow[]> {
    return this.activeVersionService.revisions();
  }

  /** What changes whenever the counts of classes do. */
  classesRevision(args: ClassesArgs): Promise<object> {
    return Promise.all([this.revision(args), this.packsService.revision()]);
  }

  /** What changes whenever what stands behind a pack's value does: its ranking, and the handles of those who tested it. */
  standingRevision(packId: string, args: StandingArgs): Promise<object> {
    const id = idOf(packId, "pack");
    return Promise.all([this.revision(args), this.standingsRepository.testersRevision(id)]);
  }

  /** The place of a pack in every ranking that it stands in, by protocol, figure and load. */
  async ofPack(packId: string, args: PackStandingsArgs): Promise<Page<PackPlaceView>> {
    const pack = await this.packsService.get(packId);
    const { protocol = null, figure = null } = args;
    const filter = { protocol, figure };
    const page = await readPage(args, {
      ...placesOf(pack.id, filter),
      read: async (window) => (await this.placesRepository.windows([pack.id], filter, window)).get(pack.id) ?? [],
      count: async () => (await this.placesRepository.counts([pack.id], filter)).get(pack.id) ?? 0,
    });
    return mapPage(page, placeView);
  }

  /** Classes of packs, with the loads at which they have standings by a figure. */
  async classes(args: ClassesArgs): Promise<Page<PackClassView>> {
    const figure = args.figure ?? USUAL_FIGURE;
    const [revisions, packsRevision] = await Promise.all([this.revisions(), this.packsService.revision()]);
    const { protocol } = await this.rankedBy(figure, args.protocol, revisions);
    const ranked = revisions.find(({ key }) => key === protocol.key) as RankedVersionRow;
    const [counts, loads] = await Promise.all([
      this.classCounts.packs(packsRevision),
      this.classCounts.loads(ranked, figure),
    ]);
    const page = await pageOf(args, {
      name: "classes",
      filters: { protocol: protocol.key, figure },
      keys: ["text", "number"],
      items: counts,
      keyOf: ({ chemistry, series }) => [chemistry, series],
    });
    const byClass = Map.groupBy(loads, ({ chemistry, series }) => `${chemistry} ${series}`);
    return mapPage(page, (one) => ({
      ...one,
      chemistry: one.chemistry as Chemistry,
      loads: (byClass.get(`${one.chemistry} ${one.series}`) ?? []).map(({ load, standings, established }) => {
        return { load: loadOfColumn(load), standings, established };
      }),
    }));
  }

  /** What stands behind a pack's value in the ranking by a figure. */
  async standing(figure: string, packId: string, args: StandingArgs): Promise<PackStandingView> {
    const { pack, basis, load, rows, standings } = await this.resultsOf(figure, packId, args);
    const found = standings.find(
      (one) => one.figure === figure && one.basis === basis && one.load === columnOfLoad(load),
    );
    if (rows.length === 0 || !found) throw notFound("standing");
    const standing = found.results.filter(({ runs }) => runs > 0);
    const testerIds = new Set(standing.map(({ testerId }) => testerId));
    return packStanding(
      pack,
      found,
      rows.filter(({ testerId }) => testerIds.has(testerId)),
    );
  }

  /**
   * A figure of the runs of a pack that count in the ranking by it, withdrawn ones among them, under the load asked for or that of
   * most of the accepted ones.
   */
  async resultsOf(figure: string, packId: string, args: StandingArgs): Promise<PackResults> {
    const { protocol, basis } = await this.rankedBy(figure, args.protocol);
    const asked = loadAsked(args.load, basis);
    const pack = await this.packsService.get(packId);
    const { counted, standings } = await this.standingsService.behind(pack.id, protocol);
    const results = counted.filter((row) => row.figure === figure && sideOf(row) === basis);
    const load = asked ?? commonestLoad(results.filter(({ withdrawnFrom }) => withdrawnFrom === null));
    return { pack, basis, load, rows: results.filter((row) => row.load === load), standings };
  }

  /** The protocol asked for, or the first one, that ranks packs by a figure, and the load under which it does. */
  private async rankedBy(
    figure: string,
    protocolKey: string | null = null,
    seen?: readonly RankedVersionRow[],
  ): Promise<RankedFigure> {
    const ranked = (await this.activeVersionService.list(seen)).flatMap(({ protocol }) =>
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

/** The figure that classes are counted by when none is asked for. */
const USUAL_FIGURE = "power-10s";

/** What is known of one figure of a pack, under one load. */
export interface PackResults {
  readonly pack: PackView;
  readonly basis: string;
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
  readonly rows: readonly CountedFigure[];
  readonly standings: readonly FigureStanding[];
}

interface RankedFigure {
  readonly protocol: ProtocolDocument;
  readonly basis: string;
}

/** @throws Problem when the load is not a standard one, or the figure is ranked under the runs' own loads */
function loadAsked(load: number | null | undefined, basis: string): number | null {
  if (load == null) return null;
  if (basis !== "translated") {
    const message = "must be left out: packs are ranked by this figure under the runs' own loads";
    throw invalidInput([{ pointer: "/load", message }]);
  }
  requireStandardLoad(load);
  return load;
}

/** The load with most results; of several, the lowest. */
function commonestLoad(results: readonly CountedFigure[]): number | null {
  const byLoad = [...Map.groupBy(results, ({ load }) => load)];
  byLoad.sort(([a, some], [b, others]) => others.length - some.length || (a ?? 0) - (b ?? 0));
  return byLoad[0]?.[0] ?? null;
}

import { Injectable } from "@nestjs/common";
import type { Chemistry } from "../../core/inputs/pack.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { coverageFactor } from "../../core/uncertainty/coverage-factor.js";
import { loadOfColumn } from "../../platform/database/load-column.js";
import { idOf } from "../../platform/database/uuid.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { requireStandardLoad } from "../../platform/http/standard-load.js";
import { foreignCursor } from "../../platform/paging/cursor.js";
import { mapPage, type Page, readPage, type Window } from "../../platform/paging/page.js";
import { pageOf } from "../../platform/paging/page-of.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { ClassesRepository } from "./classes.repository.js";
import type { ClassesArgs, PackClassView } from "./classes.views.js";
import type { PackPlaceView, PackStandingsArgs } from "./pack-places.views.js";
import { packStanding } from "./pack-standing.js";
import type { PackStandingView } from "./pack-standing.views.js";
import { placesOf, placeView } from "./place-view.js";
import { PlacesRepository } from "./places.repository.js";
import type { RankingArgs, StandingArgs, StandingView } from "./rankings.views.js";
import { type CountedFigure, type StandingRow, StandingsRepository } from "./standings.repository.js";
import { StandingsService, sideOf } from "./standings.service.js";

/** A page of a ranking, with its standard load and all those at which the class has standings. */
export interface RankingPage extends Page<StandingView> {
  readonly load: number | null;
  readonly loads: readonly number[];
}

@Injectable()
export class RankingsService {
  constructor(
    private readonly standingsRepository: StandingsRepository,
    private readonly standingsService: StandingsService,
    private readonly packsService: PacksService,
    private readonly activeVersionService: ActiveVersionService,
    private readonly placesRepository: PlacesRepository,
    private readonly classesRepository: ClassesRepository,
  ) {}

  /** A page of a ranking; without a load, at the one with most established standings of the class. */
  async rank(figure: string, args: RankingArgs): Promise<RankingPage> {
    const { protocol, basis } = await this.rankedBy(figure, args.protocol);
    const { chemistry = null, series = null, capacityMin = null, capacityMax = null } = args;
    const members = { protocolKey: protocol.key, figure, chemistry, series, capacityMin, capacityMax };
    const asked = loadAsked(args.load, basis);
    const loads = basis === "translated" ? await this.standingsRepository.loadsOf(members) : [];
    const usual = loads[0] ?? null;
    let load = asked ?? usual;
    const page = await readPage(args, {
      name: "ranking",
      filters: members,
      keys: ["number", "number", "uuid"],
      read: (window) => {
        // A page goes on at the load of its cursor, whichever is the usual one meanwhile.
        load = asked ?? loadOf(window) ?? usual;
        requireLoad(window, load);
        return this.standingsRepository.page({ ...members, load }, window);
      },
      count: () => this.standingsRepository.count({ ...members, load }),
      keyOf: ({ sortValue, packId }) => [load ?? 0, sortValue, packId],
    });
    const packs = await this.packsService.byIds(page.items.map(({ packId }) => packId));
    const items = page.items.map((row) => standingView(row, packs.get(row.packId) as PackView));
    return { ...page, items, load, loads: loads.toSorted((a, b) => a - b) };
  }

  /** What changes whenever a page of a ranking does. */
  revision({ protocol = null }: Pick<RankingArgs, "protocol">): Promise<object> {
    return this.activeVersionService.revisions(protocol);
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
    const { protocol } = await this.rankedBy(figure, args.protocol);
    const page = await pageOf(args, {
      name: "classes",
      filters: { protocol: protocol.key, figure },
      keys: ["text", "number"],
      items: await this.classesRepository.classes(),
      keyOf: ({ chemistry, series }) => [chemistry, series],
    });
    const loads = await this.classesRepository.loads(protocol.key, figure);
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
    const { protocol, basis } = await this.rankedBy(figure, args.protocol);
    const asked = loadAsked(args.load, basis);
    const pack = await this.packsService.get(packId);
    const counted = await this.standingsService.countedOf(pack.id, protocol);
    const results = counted.filter((row) => row.figure === figure && sideOf(row) === basis);
    const load = asked ?? commonestLoad(results);
    const rows = results.filter((row) => row.load === load);
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

/** The figure that classes are counted by when none is asked for. */
const USUAL_FIGURE = "power-10s";

interface RankedFigure {
  readonly protocol: ProtocolDocument;
  readonly basis: string;
}

/** The standard load of a window's cursors, A; null without any, and under the runs' own loads. */
function loadOf({ after, before }: Window): number | null {
  const load = (after ?? before)?.[0];
  return load ? Number(load) : null;
}

/** @throws Problem when a cursor is of the ranking at another load */
function requireLoad({ after, before }: Window, load: number | null): void {
  if (after && after[0] !== (load ?? 0)) throw foreignCursor("after");
  if (before && before[0] !== (load ?? 0)) throw foreignCursor("before");
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

function standingView(
  { packId: _, sortValue: __, bestPlace, worstPlace, ...row }: StandingRow,
  pack: PackView,
): StandingView {
  const placeRange = [bestPlace, worstPlace];
  return { ...row, placeRange, coverageFactor: coverageFactor(row.degreesOfFreedom), pack };
}

import { Injectable } from "@nestjs/common";
import { LRUCache } from "lru-cache";
import type { FigureRankings, LoadCount } from "../../../core/ranking/figure-rankings.js";
import { type RankingGap, rankingGap } from "../../../core/ranking/ranking-gap.js";
import { indexesIn } from "../../../core/ranking/window.js";
import type { StandingPolicy } from "../../../core/record/policy.js";
import { coverageFactor } from "../../../core/uncertainty/coverage-factor.js";
import { foreignCursor } from "../../../platform/paging/cursor.js";
import { mapPage, type Page, type PageArgs, readPage, type Window } from "../../../platform/paging/page.js";
import { PacksService } from "../../packs/packs.service.js";
import type { PackView } from "../../packs/packs.views.js";
import { StandingPolicyRepository } from "../policy/standing-policy.repository.js";
import type { StandingView } from "../rankings.views.js";
import { cursorFilters, type RankingClass } from "./ranking-class.js";
import type { RankedFigureKey } from "./ranking-orders.repository.js";
import { RankingOrdersService } from "./ranking-orders.service.js";
import { type RankingRow, RankingRowsRepository } from "./ranking-rows.repository.js";

/** A page of a ranking, with its standard load and all those at which the class has standings. */
export interface RankingPage extends Page<StandingView> {
  readonly load: number | null;
  readonly loads: readonly number[];
  /** Standings of the class at this load. */
  readonly established: number;
  readonly provisional: number;
  /** What made standings established then. */
  readonly policy: StandingPolicy;
  /** Reference testers of the service now. */
  readonly referenceTesters: number;
  /** Why no standing of the class is established; null where one is. */
  readonly gap: RankingGap | null;
}

/** What a page is asked for by. */
export interface RankingRequest extends RankedFigureKey {
  /** The standard load, A; null for the one with most established standings. */
  readonly load: number | null;
  /** Whether there are standard loads to rank at. */
  readonly hasLoads: boolean;
  readonly members: RankingClass;
  readonly part: PageArgs;
}

interface PlacedRow extends RankingRow {
  readonly sortValue: number;
  readonly place: number | null;
  readonly placeRange: number[] | null;
  readonly tiedWith: string[];
}

/** Most standings of pages that are kept; one may take three kilobytes. */
const KEPT_STANDINGS = 10_000;

/** Reads pages of rankings, and keeps them until the rankings change. */
@Injectable()
export class RankingPagesService {
  private readonly kept = new LRUCache<string, { readonly revision: number; readonly page: RankingPage }>({
    maxSize: KEPT_STANDINGS,
    sizeCalculation: ({ page }) => page.items.length + 1,
  });

  constructor(
    private readonly rankingOrdersService: RankingOrdersService,
    private readonly rankingRowsRepository: RankingRowsRepository,
    private readonly packsService: PacksService,
    private readonly standingPolicyRepository: StandingPolicyRepository,
  ) {}

  /**
   * A page of a ranking as it stands at its protocol's present revision.
   *
   * @param revision what the caller has read of the protocol's revision for this request
   */
  async get(request: RankingRequest, revision: number): Promise<RankingPage> {
    const key = JSON.stringify(request);
    const known = this.kept.get(key);
    if (known?.revision === revision) return known.page;
    const rankings = await this.rankingOrdersService.at(request, request.members.instant);
    const read = await this.read(request, rankings);
    this.kept.set(key, read);
    return read.page;
  }

  private async read(request: RankingRequest, rankings: FigureRankings) {
    const { protocolKey, figure, members, hasLoads, part } = request;
    const { filter, shown, worstFirst, instant } = members;
    const { revision } = rankings;
    const loads = hasLoads ? rankings.loadsOf(filter) : [];
    const usual = usualLoad(loads);
    let load = request.load ?? usual;
    let total = 0;
    const page = await readPage(part, {
      name: "ranking",
      filters: { protocolKey, figure, ...cursorFilters(members) },
      keys: ["number", "number", "uuid"],
      read: (window) => {
        // A page goes on at the load of its cursor, whichever is the usual one meanwhile.
        load = request.load ?? loadOf(window) ?? usual;
        requireLoad(window, load);
        const { order, placeAt } = rankings.classAt(load ?? 0, filter, shown);
        total = order.length;
        const placed = indexesIn(order, { ...positionsIn(rankings, window), worstFirst }).map((index) => {
          const placed = placeAt(index);
          return {
            packId: rankings.packs.idOf(order.packs[index] as number),
            sortValue: order.values[index] as number,
            place: placed?.place ?? null,
            placeRange: placed && [placed.bestPlace, placed.worstPlace],
            tiedWith: (placed?.tiedWith ?? []).map((pack) => rankings.packs.idOf(pack)),
          };
        });
        return this.withRows({ protocolKey, figure, load: load ?? 0 }, placed, instant ?? revision);
      },
      count: async () => total,
      keyOf: ({ sortValue, packId }) => [load ?? 0, sortValue, packId],
    });
    const packs = await this.packsService.byIds(page.items.map(({ packId }) => packId));
    const views = mapPage(page, (row) => standingView(row, packs.get(row.packId) as PackView));
    const { standings, established } = rankings.countsAt(load ?? 0, filter);
    const policy = await this.standingPolicyRepository.policy(undefined, instant);
    const referenceTesters = await this.standingPolicyRepository.countReferenceTesters();
    const facts = { standings, established, referenceTesters, policy };
    return {
      revision,
      page: {
        ...views,
        load,
        loads: loads.map((one) => one.load),
        established,
        provisional: standings - established,
        policy,
        referenceTesters,
        gap: rankingGap(facts),
      },
    };
  }

  private async withRows(
    ranking: Parameters<RankingRowsRepository["atRevision"]>[0],
    placed: readonly Omit<PlacedRow, keyof Omit<RankingRow, "packId">>[],
    at: Date | number,
  ): Promise<PlacedRow[]> {
    const ids = placed.map(({ packId }) => packId);
    const repository = this.rankingRowsRepository;
    const rows = await (at instanceof Date
      ? repository.atInstant(ranking, ids, at)
      : repository.atRevision(ranking, ids, at));
    return placed.map((one) => ({ ...(rows.get(one.packId) as RankingRow), ...one }));
  }
}

/** The load with most established standings; of several the one with most standings, then the lowest. */
function usualLoad(loads: readonly LoadCount[]): number | null {
  const ordered = loads.toSorted(
    (a, b) => b.established - a.established || b.standings - a.standings || a.load - b.load,
  );
  return ordered[0]?.load ?? null;
}

function positionsIn(rankings: FigureRankings, { after, before, ...window }: Window) {
  const positionOf = (key: Window["after"]) =>
    key && { value: Number(key[1]), compareTo: rankings.packs.comparing(String(key[2])) };
  return { ...window, after: positionOf(after), before: positionOf(before) };
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

function standingView({ packId: _, sortValue: __, ...row }: PlacedRow, pack: PackView): StandingView {
  return { ...row, coverageFactor: coverageFactor(row.degreesOfFreedom), pack };
}

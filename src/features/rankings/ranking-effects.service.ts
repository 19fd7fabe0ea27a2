import { Injectable } from "@nestjs/common";
import type { RankedEffect } from "../../core/auto-accept/criteria.js";
import type { RankedFigure } from "../../core/protocol/document.js";
import { packResult } from "../../core/statistics/standing.js";
import type { Transaction } from "../../platform/database/database.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { type FiguresOfRun, RankingEffectsRepository } from "./ranking-effects.repository.js";
import type { CountedFigure } from "./standings.repository.js";
import { StandingsService, sideOf } from "./standings.service.js";

/** What accepting a run would do to its pack's places. */
@Injectable()
export class RankingEffectsService {
  constructor(
    private readonly rankingEffectsRepository: RankingEffectsRepository,
    private readonly standingsService: StandingsService,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /** One effect for each ranked figure of the run's protocol; none when the run was evaluated under what does not count. */
  async of(runId: string, tx: Transaction): Promise<RankedEffect[]> {
    const run = await this.rankingEffectsRepository.figuresOf(runId, tx);
    if (!run) return [];
    const { protocol, computationVersion } = await this.activeVersionService.lockShared(tx, run.protocolKey);
    if (run.protocolVersion !== protocol.version || run.computationVersion !== computationVersion) return [];
    const counted = await this.standingsService.countedFigures(tx, [run.packId], protocol);
    const effects: RankedEffect[] = [];
    for (const ranked of protocol.ranked) effects.push(await this.effectOn(ranked, run, counted, tx));
    return effects;
  }

  private async effectOn(
    { figure, basis, better }: RankedFigure,
    run: FiguresOfRun,
    counted: readonly CountedFigure[],
    tx: Transaction,
  ): Promise<RankedEffect> {
    const isIt = (one: { figure: string; basis: string }) =>
      one.figure === figure && (one.basis === "translated") === (basis === "translated");
    const own = run.figures.find(isIt) ?? null;
    const same = counted.filter((row) => row.figure === figure && sideOf(row) === basis);
    const ofOthers = same.filter(({ testerId }) => testerId !== run.testerId);
    const mine = own && { ...own, testerId: run.testerId };
    const sign = better === "higher" ? 1 : -1;
    const placeOf = (rows: readonly Parameters<typeof packResult>[0][number][]) =>
      rows.length > 0 ? this.place(run.protocolKey, figure, run.packId, sign * packResult(rows).value, tx) : null;
    return {
      figure,
      own,
      others: ofOthers.length > 0 ? packResult(ofOthers) : null,
      placeBefore: await placeOf(same),
      placeAfter: mine && (await placeOf([...same, mine])),
    };
  }

  private async place(
    protocolKey: string,
    figure: string,
    packId: string,
    sortValue: number,
    tx: Transaction,
  ): Promise<number> {
    return 1 + (await this.rankingEffectsRepository.betterPacks(protocolKey, figure, packId, sortValue, tx));
  }
}

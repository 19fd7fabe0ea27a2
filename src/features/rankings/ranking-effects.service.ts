import { Injectable } from "@nestjs/common";
import type { RankedEffect } from "../../core/auto-accept/criteria.js";
import type { RankedFigure } from "../../core/protocol/document.js";
import { packResult, type TesterResult } from "../../core/statistics/standing.js";
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

  /** One effect for each ranked figure of the run's protocol and each load; none when the run was evaluated under what does not count. */
  async of(runId: string, tx: Transaction): Promise<RankedEffect[]> {
    const run = await this.rankingEffectsRepository.figuresOf(runId, tx);
    if (!run) return [];
    const { protocol, computationVersion } = await this.activeVersionService.lockShared(tx, run.protocolKey);
    if (run.protocolVersion !== protocol.version || run.computationVersion !== computationVersion) return [];
    const counted = await this.standingsService.countedFigures(tx, [run.packId], protocol);
    const effects: RankedEffect[] = [];
    for (const ranked of protocol.ranked) {
      for (const load of loadsOf(run, ranked)) effects.push(await this.effectOn({ ...ranked, load }, run, counted, tx));
    }
    return effects;
  }

  private async effectOn(
    { figure, basis, better, load }: RankedFigure & { readonly load: number | null },
    run: FiguresOfRun,
    counted: readonly CountedFigure[],
    tx: Transaction,
  ): Promise<RankedEffect> {
    const own = run.figures.find((one) => isRankedBy({ figure, basis }, one) && one.load === load) ?? null;
    const same = counted.filter((row) => row.figure === figure && sideOf(row) === basis && row.load === load);
    const ofOthers = same.filter(({ testerId }) => testerId !== run.testerId);
    const mine = own && { ...own, testerId: run.testerId };
    const sign = better === "higher" ? 1 : -1;
    const placeOf = async (rows: readonly TesterResult[]) => {
      if (rows.length === 0) return null;
      const sortValue = sign * packResult(rows).value;
      return 1 + (await this.rankingEffectsRepository.betterPacks(run, { figure, load, sortValue }, tx));
    };
    return {
      figure,
      load,
      own,
      others: ofOthers.length > 0 ? packResult(ofOthers) : null,
      placeBefore: await placeOf(same),
      placeAfter: mine && (await placeOf([...same, mine])),
    };
  }
}

const isRankedBy = ({ figure, basis }: Pick<RankedFigure, "figure" | "basis">, one: FiguresOfRun["figures"][number]) =>
  one.key === figure && (one.basis === "translated") === (basis === "translated");

/** The loads at which a run has a ranked figure; none of its own under a standard load counts as one effect without a value. */
function loadsOf(run: FiguresOfRun, ranked: RankedFigure): readonly (number | null)[] {
  const loads = run.figures.filter((one) => isRankedBy(ranked, one)).map(({ load }) => load);
  return loads.length > 0 ? loads : [null];
}

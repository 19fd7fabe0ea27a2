import { Injectable } from "@nestjs/common";
import type { RankedEffect } from "../../core/auto-accept/criteria.js";
import type { RankedFigure } from "../../core/protocol/document.js";
import type { Transaction } from "../../platform/database/database.js";
import { columnOfLoad } from "../../platform/database/rows/load-column.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { type FiguresOfRun, RankingEffectsRepository } from "./ranking-effects.repository.js";
import { type FigureStanding, figureStandings } from "./results/pack-figures.js";
import { ResultsRepository } from "./results/results.repository.js";
import { testerResults } from "./results/tester-results.js";
import type { CountedFigure } from "./standings.repository.js";
import { StandingsService } from "./standings.service.js";

/** What accepting a run would do to its pack's places. */
@Injectable()
export class RankingEffectsService {
  constructor(
    private readonly rankingEffectsRepository: RankingEffectsRepository,
    private readonly resultsRepository: ResultsRepository,
    private readonly standingsService: StandingsService,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /** One effect for each ranked figure of the run's protocol and each load; none when the run was evaluated under what does not count. */
  async of(runId: string, tx: Transaction): Promise<RankedEffect[]> {
    const run = await this.rankingEffectsRepository.figuresOf(runId, tx);
    if (!run) return [];
    const { protocol, computationVersion } = await this.activeVersionService.lockShared(tx, run.protocolKey);
    if (run.protocolVersion !== protocol.version || run.computationVersion !== computationVersion) return [];
    const results = await this.resultsRepository.ofPacks(tx, [run.packId], protocol.key);
    const facts = await this.standingsService.factsOf(tx, [run.packId], protocol.key, results);
    const ofOthers = results.filter(({ testerId }) => testerId !== run.testerId);
    const own = await this.standingsService.countedFigures(tx, [run.packId], run.testerId, protocol);
    const mine = testerResults(protocol.key, [...own, ...run.figures.map((figure) => countedAs(run, figure))]);
    const states = {
      before: figureStandings(results, facts),
      after: figureStandings([...ofOthers, ...mine], facts),
      others: figureStandings(ofOthers, facts),
    };
    const effects: RankedEffect[] = [];
    for (const ranked of protocol.ranked) {
      for (const load of loadsOf(run, ranked)) effects.push(await this.effectOn({ ...ranked, load }, run, states, tx));
    }
    return effects;
  }

  private async effectOn(
    { figure, basis, better, load }: RankedFigure & { readonly load: number | null },
    run: FiguresOfRun,
    states: Readonly<Record<"before" | "after" | "others", readonly FigureStanding[]>>,
    tx: Transaction,
  ): Promise<RankedEffect> {
    const own = run.figures.find((one) => isRankedBy({ figure, basis }, one) && one.load === load) ?? null;
    const standingIn = (some: readonly FigureStanding[]) =>
      some.find((one) => one.figure === figure && one.basis === basis && one.load === columnOfLoad(load))?.standing ??
      null;
    const sign = better === "higher" ? 1 : -1;
    const placeOf = async (some: readonly FigureStanding[]) => {
      const standing = standingIn(some);
      if (!standing) return null;
      const sortValue = sign * standing.value;
      return 1 + (await this.rankingEffectsRepository.betterPacks(run, { figure, load, sortValue }, tx));
    };
    return {
      figure,
      load,
      own,
      others: standingIn(states.others),
      placeBefore: await placeOf(states.before),
      placeAfter: own && (await placeOf(states.after)),
    };
  }
}

/** A figure of the run as if it counted already. */
const countedAs = (run: FiguresOfRun, figure: FiguresOfRun["figures"][number]): CountedFigure => ({
  runId: run.runId,
  packId: run.packId,
  testerId: run.testerId,
  testerHandle: "",
  figure: figure.key,
  unit: figure.unit,
  basis: figure.basis,
  load: figure.load,
  value: figure.value,
  uncertainty: figure.uncertainty,
  shared: figure.shared,
  uploadedAt: run.uploadedAt,
  withdrawnFrom: null,
});

const isRankedBy = ({ figure, basis }: Pick<RankedFigure, "figure" | "basis">, one: FiguresOfRun["figures"][number]) =>
  one.key === figure && (one.basis === "translated") === (basis === "translated");

/** The loads at which a run has a ranked figure; none of its own under a standard load counts as one effect without a value. */
function loadsOf(run: FiguresOfRun, ranked: RankedFigure): readonly (number | null)[] {
  const loads = run.figures.filter((one) => isRankedBy(ranked, one)).map(({ load }) => load);
  return loads.length > 0 ? loads : [null];
}

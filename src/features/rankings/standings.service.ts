import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { StandingPolicy } from "../../core/record/policy.js";
import { scatterOf } from "../../core/record/reproducibility.js";
import { isReference } from "../../core/record/status.js";
import type { ConfirmedValue, TesterResult } from "../../generated/prisma/client.js";
import type { Transaction } from "../../platform/database/database.js";
import { LadderStepsService } from "../ladders/ladder-steps.service.js";
import { type ActiveProtocol, ActiveVersionService, PROTOCOL_KEYS } from "../protocols/active-version.service.js";
import { StandingPolicyRepository } from "./policy/standing-policy.repository.js";
import { ConfirmedBeforeMergeRepository } from "./results/confirmed-before-merge.repository.js";
import { CorrectedPacksService } from "./results/corrected-packs.service.js";
import {
  confirmedName,
  decisionName,
  type FigureStanding,
  figureStandings,
  type PackFigure,
  packFigure,
  rankedResult,
  type StandingFacts,
} from "./results/pack-figures.js";
import { ResultsRepository } from "./results/results.repository.js";
import { carryOver, confirmedAfter, isOfPack, judgedAgain, standingsOf, testersIn } from "./results/standing-rows.js";
import { testerResults } from "./results/tester-results.js";
import { StandingJobsService } from "./standing-jobs.service.js";
import { type CountedFigure, type NewStanding, type RankedPack, StandingsRepository } from "./standings.repository.js";

export { sideOf } from "./results/tester-results.js";
export type { NewStanding, RankedPack } from "./standings.repository.js";

/** Protocols in the order in which their active versions and rankings are locked, by the database's triggers too. */
const IN_LOCK_ORDER = PROTOCOL_KEYS.toSorted();

/** Packs whose figures are read together. */
const PACKS_AT_ONCE = 200;

/** How far results of reference testers scatter about the means of packs, as shares of these. */
export interface FigureScatter {
  readonly figure: string;
  readonly basis: string;
  readonly squares: number;
  readonly degreesOfFreedom: number;
}

/** What a full computation gives. */
export interface ComputedStandings {
  readonly standings: readonly NewStanding[];
  readonly results: readonly TesterResult[];
  readonly confirmed: readonly ConfirmedValue[];
}

/** The same of some packs, with what they add to the estimate of reproducibilities. */
export interface ComputedPacks extends ComputedStandings {
  readonly scatter: readonly (FigureScatter & { readonly packId: string })[];
}

/** Keeps the standings of packs in step with their accepted runs and with what is known of their testers. */
@Injectable()
export class StandingsService {
  constructor(
    private readonly standingsRepository: StandingsRepository,
    private readonly resultsRepository: ResultsRepository,
    private readonly confirmedBeforeMerge: ConfirmedBeforeMergeRepository,
    private readonly correctedPacks: CorrectedPacksService,
    private readonly standingPolicyRepository: StandingPolicyRepository,
    private readonly standingJobsService: StandingJobsService,
    private readonly ladderStepsService: LadderStepsService,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /**
   * Computes a pack's standings anew when one tester's runs have changed, in the transaction that changed them. Only that tester's runs are
   * read; the others' results are stored. The records of those whose results are held against these are judged after it.
   */
  async refresh(tx: Transaction, packId: string, protocolKey: string, testerId: string): Promise<void> {
    const found = await this.refreshResults(tx, { packId, protocolKey, testerId });
    await this.standingJobsService.queueJudgement(tx, judgedAgain(testerId, found));
    await this.standingJobsService.queueFits(tx, [packId]);
    if (await this.standingsRepository.isWeighed(tx, packId))
      await this.standingJobsService.queueWeighing(tx, [packId]);
  }

  /** Computes a pack's standings anew from the results as they are stored, when something else that decides them has changed. */
  async refreshPack(tx: Transaction, packId: string, protocolKey: string): Promise<void> {
    const active = await this.activeVersionService.lockShared(tx, protocolKey);
    const pack = await this.standingsRepository.lockPack(tx, packId);
    await this.rank(tx, pack, active, await this.storedResults(tx, { packId, protocolKey }));
  }

  /** Lets every reader's copy of a ranking be read anew: what stands beside the standings has changed. */
  async announceChange(tx: Transaction): Promise<void> {
    for (const key of IN_LOCK_ORDER) await this.activeVersionService.countChange(tx, key);
  }

  /** Locks the active version of every protocol until the transaction ends; before any pack. */
  async lockVersions(tx: Transaction): Promise<void> {
    for (const key of IN_LOCK_ORDER) await this.activeVersionService.lockShared(tx, key);
  }

  /**
   * Locks everything that `refreshAll` of packs changes, in the order in which everyone does, until the transaction ends: before a pack itself is
   * changed, which changes rankings by itself. Unknown packs are passed over.
   */
  async lockAll(tx: Transaction, packIds: readonly string[]): Promise<void> {
    await this.lockVersions(tx);
    await this.standingsRepository.lockPacks(tx, packIds);
    await this.announceChange(tx);
  }

  /** Keeps what is confirmed of a pack that another one, locked as well, is merged into. */
  beforeMerge(tx: Transaction, packId: string, intoId: string): Promise<void> {
    return this.confirmedBeforeMerge.keep(tx, packId, intoId);
  }

  /** Has that confirmed again which was when a pack was merged, before the standings of both are computed anew. */
  afterUndoneMerge(tx: Transaction, packId: string): Promise<void> {
    return this.confirmedBeforeMerge.putBack(tx, packId);
  }

  /**
   * Keeps what the runs of a pack give, which is locked, and corrected or hidden next, before they are marked as outdated: what is confirmed of it
   * follows once they are all evaluated anew and it is shown.
   */
  async beforeCorrection(tx: Transaction, packId: string): Promise<void> {
    for (const protocolKey of IN_LOCK_ORDER) {
      const { protocol } = await this.activeVersionService.lockShared(tx, protocolKey);
      const results = await this.resultsRepository.ofPacks(tx, [packId], protocolKey);
      const facts = await this.factsOf(tx, [packId], protocolKey, results);
      if (facts.confirmed.size === 0) continue;
      const counted = await this.countedFigures(tx, [packId], null, protocol);
      await this.correctedPacks.remember(tx, { packId, protocolKey }, results, counted, facts);
    }
  }

  /** Nothing that is confirmed of a pack follows the corrections that its runs wait for any more. */
  async forgetCorrections(tx: Transaction, packId: string): Promise<void> {
    for (const protocolKey of IN_LOCK_ORDER) await this.correctedPacks.forget(tx, packId, protocolKey);
  }

  /** Does not wait for a run any longer that cannot be evaluated with what is registered of its pack now. */
  leaveOut(tx: Transaction, runId: string): Promise<void> {
    return this.correctedPacks.leaveOut(tx, runId);
  }

  /** Ends the wait of all packs whose confirmed values a re-evaluation carries over, before it puts them in place. */
  afterReevaluation(tx: Transaction, reevaluationId: string, protocolKey: string): Promise<void> {
    return this.correctedPacks.endPrepared(tx, reevaluationId, protocolKey);
  }

  /** Computes the standings of several packs anew from all their runs, under every protocol. */
  async refreshAll(tx: Transaction, packIds: readonly string[]): Promise<void> {
    await this.lockAll(tx, packIds);
    const judged = new Set<string>();
    for (const packId of packIds) {
      for (const protocolKey of IN_LOCK_ORDER) {
        const found = await this.refreshResults(tx, { packId, protocolKey });
        for (const testerId of testersIn(found)) judged.add(testerId);
      }
    }
    await this.standingJobsService.queueJudgement(tx, judged);
    await this.standingJobsService.queueFits(tx, packIds);
  }

  /** Locks packs, and those that were merged into them, until the transaction ends: their standings stay as they are meanwhile. */
  lockPacks(tx: Transaction, packIds: readonly string[]): Promise<void> {
    return this.standingsRepository.lockPacks(tx, packIds);
  }

  /** Locks the active version and the pack until the transaction ends. */
  async lockPack(tx: Transaction, packId: string, protocolKey: string): Promise<void> {
    await this.activeVersionService.lockShared(tx, protocolKey);
    await this.standingsRepository.lockPack(tx, packId);
  }

  /** The standings that the runs of a protocol give, of all packs, as the transaction sees them. */
  async computeAll(tx: Transaction, active: ActiveProtocol): Promise<ComputedStandings> {
    const packs = await this.standingsRepository.rankedPacks(tx, active.protocol.key);
    const all = { standings: [] as NewStanding[], results: [] as TesterResult[], confirmed: [] as ConfirmedValue[] };
    for (let from = 0; from < packs.length; from += PACKS_AT_ONCE) {
      const found = await this.computePacks(tx, active, packs.slice(from, from + PACKS_AT_ONCE));
      all.standings.push(...found.standings);
      all.results.push(...found.results);
      all.confirmed.push(...found.confirmed);
    }
    return all;
  }

  /** The standings that the runs of a protocol give, of some packs, as the transaction sees them. */
  async computePacks(tx: Transaction, active: ActiveProtocol, packs: readonly RankedPack[]): Promise<ComputedPacks> {
    const { key } = active.protocol;
    const ids = packs.map(({ id }) => id);
    const counted = await this.countedFigures(tx, ids, null, active.protocol);
    const results = testerResults(key, counted);
    const stored = await this.factsOf(tx, ids, key, results);
    const { facts, carried } = await this.correctedPacks.carry(tx, ids, key, counted, stored);
    const corrected = new Set(carried.map(({ packId }) => packId));
    const others = figureStandings(results, facts).filter(({ packId }) => !corrected.has(packId));
    const confirmed = carryOver(facts, others);
    const found = figureStandings(results, { ...facts, confirmed });
    const byPack = Map.groupBy(found, ({ packId }) => packId);
    const standings = packs.flatMap((pack) => standingsOf(pack, active, byPack.get(pack.id) ?? []));
    const after = confirmedAfter(active.protocol, found, confirmed);
    return { standings, results, confirmed: after, scatter: scatterByPack(results, facts) };
  }

  /** The figures of packs under the active version of each protocol, under their runs' own loads and under standard loads. */
  async figuresOf(packIds: readonly string[]): Promise<(PackFigure & { protocol: string })[]> {
    const active = await this.activeVersionService.list();
    return this.standingsRepository.snapshot(async (tx) => {
      const found: (PackFigure & { protocol: string })[] = [];
      for (const { protocol } of active) {
        const standings = await this.standingsOfPacks(tx, packIds, protocol.key);
        const ofPack = standings.filter(({ figure }) => isOfPack(protocol, figure));
        found.push(...ofPack.map((one) => ({ ...packFigure(one), protocol: protocol.key })));
      }
      return found;
    });
  }

  /** What packs' stored results give under a protocol, by figure and load. */
  async standingsOfPacks(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<FigureStanding[]> {
    const results = await this.resultsRepository.ofPacks(tx, packIds, protocolKey);
    return figureStandings(results, await this.factsOf(tx, packIds, protocolKey, results));
  }

  /** The results of a pack's runs under the active version of a protocol, and what they give. */
  behind(
    packId: string,
    protocol: ProtocolDocument,
  ): Promise<{ counted: CountedFigure[]; standings: FigureStanding[] }> {
    return this.standingsRepository.snapshot(async (tx) => ({
      counted: await this.countedFigures(tx, [packId], null, protocol),
      standings: await this.standingsOfPacks(tx, [packId], protocol.key),
    }));
  }

  /** Results of single runs, and of the ladders that constant-current runs make together; of one tester, or of all when null. */
  async countedFigures(
    tx: Transaction,
    packIds: readonly string[],
    testerId: string | null,
    { key, load }: ProtocolDocument,
  ): Promise<CountedFigure[]> {
    const ofRuns = await this.standingsRepository.countedFigures(packIds, key, testerId, tx);
    if (load.kind !== "set-current") return ofRuns;
    return [...ofRuns, ...(await this.ladderStepsService.countedFigures(packIds, testerId, key, load.ladder, tx))];
  }

  /** How many testers make a standing established, as the service has set it. */
  policy(tx: Transaction): Promise<StandingPolicy> {
    return this.standingPolicyRepository.policy(tx);
  }

  /** s_R of the figures of a protocol that it was estimated for, over the value, by figure and basis. */
  reproducibilities(tx: Transaction, protocolKey: string): Promise<ReadonlyMap<string, number>> {
    return this.resultsRepository.reproducibilities(tx, protocolKey);
  }

  /** What decides standings beside the results. */
  async factsOf(
    tx: Transaction,
    packIds: readonly string[],
    protocolKey: string,
    results: readonly TesterResult[],
  ): Promise<StandingFacts> {
    const testerIds = new Set(results.map(({ testerId }) => testerId));
    const records = await this.resultsRepository.recordsOf(tx, [...testerIds]);
    const confirmed = await this.resultsRepository.confirmedValues(tx, packIds, protocolKey);
    const decisions = await this.resultsRepository.decisions(tx, packIds, protocolKey);
    return {
      policy: await this.standingPolicyRepository.policy(tx),
      records: new Map(records.map((record) => [record.testerId, record])),
      confirmed: new Map(confirmed.map((one) => [confirmedName(one), one])),
      decisions: new Map(decisions.map((one) => [decisionName(one), one])),
      reproducibilities: await this.resultsRepository.reproducibilities(tx, protocolKey),
      packsToEstablish: await this.packsToEstablish(tx, packIds, protocolKey),
      now: Date.now(),
    };
  }

  private async packsToEstablish(
    tx: Transaction,
    packIds: readonly string[],
    protocolKey: string,
  ): Promise<ReadonlySet<string>> {
    const waiting = await this.correctedPacks.waiting(tx, packIds, protocolKey);
    const confirmed = await this.resultsRepository.confirmedPacks(tx, packIds);
    return new Set([...confirmed].filter((id) => !waiting.has(id)));
  }

  /** Reads the runs of a tester anew, or of all where none is named, and computes the pack's standings. */
  private async refreshResults(
    tx: Transaction,
    of: { readonly packId: string; readonly protocolKey: string; readonly testerId?: string },
  ): Promise<FigureStanding[]> {
    const active = await this.activeVersionService.lockShared(tx, of.protocolKey);
    const pack = await this.standingsRepository.lockPack(tx, of.packId);
    const counted = await this.countedFigures(tx, [of.packId], of.testerId ?? null, active.protocol);
    await this.resultsRepository.replace(tx, of, testerResults(of.protocolKey, counted));
    const stored = await this.storedResults(tx, of);
    const all = of.testerId === undefined ? counted : null;
    const { facts, carried } = await this.carryCorrection(tx, active.protocol, of.packId, stored, all);
    const found = await this.rank(tx, pack, active, { ...stored, facts });
    await this.correctedPacks.end(tx, of.protocolKey, carried, facts);
    return found;
  }

  /** Results of a pack as they are stored, and what decides on them. */
  private async storedResults(
    tx: Transaction,
    { packId, protocolKey }: { readonly packId: string; readonly protocolKey: string },
  ): Promise<StoredResults> {
    const results = await this.resultsRepository.ofPacks(tx, [packId], protocolKey);
    return { results, facts: await this.factsOf(tx, [packId], protocolKey, results) };
  }

  /** Carries over what is confirmed of a pack that was corrected, where the last of its runs has been evaluated. */
  private async carryCorrection(
    tx: Transaction,
    protocol: ProtocolDocument,
    packId: string,
    { facts }: StoredResults,
    all: readonly CountedFigure[] | null,
  ): ReturnType<CorrectedPacksService["carry"]> {
    const waiting = await this.correctedPacks.waiting(tx, [packId], protocol.key);
    if (waiting.size === 0) return { facts, carried: [] };
    const counted = all ?? (await this.countedFigures(tx, [packId], null, protocol));
    return this.correctedPacks.carry(tx, [packId], protocol.key, counted, facts);
  }

  private async rank(
    tx: Transaction,
    pack: RankedPack,
    active: ActiveProtocol,
    { results, facts }: StoredResults,
  ): Promise<FigureStanding[]> {
    const { protocol } = active;
    const found = figureStandings(results, facts);
    await this.standingsRepository.replace(tx, pack.id, protocol.key, standingsOf(pack, active, found));
    const confirmed = confirmedAfter(protocol, found, facts.confirmed);
    await this.resultsRepository.replaceConfirmedValues(tx, protocol.key, pack.id, confirmed);
    await this.activeVersionService.countChange(tx, protocol.key);
    return found;
  }
}

interface StoredResults {
  readonly results: readonly TesterResult[];
  readonly facts: StandingFacts;
}

/** What reference testers' results of each pack say of the scatter of each figure. */
function scatterByPack(results: readonly TesterResult[], facts: StandingFacts): ComputedPacks["scatter"] {
  const ofReferences = results.filter((one) => one.runs > 0 && isReference(rankedResult(one, facts).status));
  const groups = Map.groupBy(ofReferences, ({ packId, figure, basis }) => `${packId} ${figure} ${basis}`);
  return [...groups.values()].map((some) => {
    const [{ packId, figure, basis }] = some as [TesterResult];
    const byLoad = [...Map.groupBy(some, ({ load }) => load).values()].map((group) => group.map(({ value }) => value));
    return { packId, figure, basis, ...scatterOf(byLoad) };
  });
}

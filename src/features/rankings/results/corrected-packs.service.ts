import { Injectable } from "@nestjs/common";
import type { TesterResult } from "../../../generated/prisma/client.js";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import type { Transaction } from "../../../platform/database/database.js";
import type { CountedFigure } from "../standings.repository.js";
import { BeforeCorrectionRepository } from "./before-correction.repository.js";
import { ConfirmedBeforeMergeRepository } from "./confirmed-before-merge.repository.js";
import { behindConfirmed, correctionFactors } from "./correction-factors.js";
import { carriedBy, confirmedName, figureStandings, type StandingFacts } from "./pack-figures.js";
import { ResultsRepository } from "./results.repository.js";

/** Factors nearer to 1 are rounding. */
const UNMOVED = 1e-12;

/** A pack whose confirmed values are carried over, and how many times what they were they become. */
export interface CarriedPack {
  readonly packId: string;
  readonly factors: ReadonlyMap<string, number>;
}

/**
 * Carries what is confirmed of a pack over to what the same runs give once it was corrected. A correction moves all results at once; without this the
 * brake would take it for testers who pull, and hold the wrong value for good. While runs wait for their evaluation nothing is established of
 * the pack, since a part of its testers would make another value than all.
 */
@Injectable()
export class CorrectedPacksService {
  constructor(
    private readonly beforeCorrectionRepository: BeforeCorrectionRepository,
    private readonly confirmedBeforeMerge: ConfirmedBeforeMergeRepository,
    private readonly resultsRepository: ResultsRepository,
    private readonly auditLog: AuditLog,
  ) {}

  /** Keeps what the runs of a pack give, before they are marked as outdated by a correction of it, or it is hidden. */
  async remember(
    tx: Transaction,
    of: { readonly packId: string; readonly protocolKey: string },
    results: readonly TesterResult[],
    counted: readonly CountedFigure[],
    facts: StandingFacts,
  ): Promise<void> {
    const behind = behindConfirmed(results, figureStandings(results, facts), facts.confirmed);
    if (behind.length === 0) return;
    const runIds = [...new Set(counted.map(({ runId }) => runId))];
    await this.beforeCorrectionRepository.keep(tx, of.protocolKey, { packId: of.packId, results: behind, runIds });
  }

  forget(tx: Transaction, packId: string, protocolKey: string): Promise<void> {
    return this.beforeCorrectionRepository.forget(tx, [packId], protocolKey);
  }

  /** Which of these packs wait for their runs to be evaluated anew. */
  waiting(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<ReadonlySet<string>> {
    return this.beforeCorrectionRepository.corrected(tx, packIds, protocolKey);
  }

  /** What decides standings once the confirmed values are carried over of those packs whose runs wait no more. */
  async carry(
    tx: Transaction,
    packIds: readonly string[],
    protocolKey: string,
    counted: readonly CountedFigure[],
    facts: StandingFacts,
  ): Promise<{ facts: StandingFacts; carried: CarriedPack[] }> {
    const done = await this.beforeCorrectionRepository.evaluated(tx, packIds, protocolKey);
    if (done.length === 0) return { facts, carried: [] };
    const carried = done.map((before) => ({
      packId: before.packId,
      factors: correctionFactors(before, protocolKey, counted, facts),
    }));
    const confirmed = new Map(facts.confirmed);
    for (const { factors } of carried) {
      for (const [name, factor] of factors) {
        const stored = facts.confirmed.get(name);
        if (stored) confirmed.set(name, carriedBy(stored, factor));
      }
    }
    const toEstablish = await this.resultsRepository.confirmedPacks(
      tx,
      done.map(({ packId }) => packId),
    );
    const packsToEstablish = new Set([...facts.packsToEstablish, ...toEstablish]);
    return { facts: { ...facts, confirmed, packsToEstablish }, carried };
  }

  /** Ends the wait of packs whose confirmed values are written as carried over, and has the audit log say so; its transaction is that log's. */
  async end(
    tx: Transaction,
    protocolKey: string,
    carried: readonly CarriedPack[],
    facts: StandingFacts,
  ): Promise<void> {
    for (const { packId, factors } of carried) {
      await this.beforeCorrectionRepository.forget(tx, [packId], protocolKey);
      await this.confirmedBeforeMerge.carry(tx, packId, protocolKey, factors);
      const moved = [...facts.confirmed.values()].filter((one) => {
        return one.packId === packId && Math.abs((factors.get(confirmedName(one)) ?? 1) - 1) > UNMOVED;
      });
      if (moved.length === 0) continue;
      const valuesOf = (by: (name: string) => number) =>
        JSON.stringify(
          Object.fromEntries(
            moved.map((one) => [
              one.load === 0 ? one.figure : `${one.figure} ${one.load} A`,
              one.value / by(confirmedName(one)),
            ]),
          ),
        );
      this.auditLog.record(tx, {
        actorId: null,
        event: "carry-over",
        subject: { kind: "pack", id: packId },
        from: valuesOf((name) => factors.get(name) ?? 1),
        to: valuesOf(() => 1),
        reason: `Confirmed values (${protocolKey}) follow the correction of the pack, as the same runs do.`,
      });
    }
  }

  /** Ends the wait of all packs whose confirmed values a re-evaluation has carried over. */
  endPrepared(tx: Transaction, reevaluationId: string, protocolKey: string): Promise<void> {
    return this.beforeCorrectionRepository.forgetPrepared(tx, reevaluationId, protocolKey);
  }

  /** Does not wait for a run any longer that cannot be evaluated with what is registered of its pack now. */
  leaveOut(tx: Transaction, runId: string): Promise<void> {
    return this.beforeCorrectionRepository.leaveOut(tx, runId);
  }
}

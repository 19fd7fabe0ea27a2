import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../../platform/database/database.js";
import type { RunHead } from "../run-heads.repository.js";
import { RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import { CountedWithdrawalsRepository } from "./counted-withdrawals.repository.js";

/** What is read and written where a run is decided on, withdrawn or replaced. */
@Injectable()
export class DecisionsRepository {
  constructor(
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly countedWithdrawalsRepository: CountedWithdrawalsRepository,
  ) {}

  /** Whether a run waits for being evaluated anew, since its pack has changed. */
  async isOutdated(tx: Transaction, id: string): Promise<boolean> {
    return (await tx.run.findUniqueOrThrow({ where: { id }, select: { outdated: true } })).outdated;
  }

  /** Those of some withdrawn runs that go on counting, and hold up a run as accepted ones do. */
  countedWithdrawals(runIds: readonly string[], runId: string, tx?: Transaction): Promise<Set<string>> {
    return this.countedWithdrawalsRepository.among(runIds, runId, tx);
  }

  /** Takes the figures of a withdrawn run out of its tester's means; false where they are not in them. */
  async excuseWithdrawal(tx: Transaction, id: string, moderatorId: string): Promise<boolean> {
    const { count } = await tx.run.updateMany({
      where: { id, withdrawnFrom: { not: null }, withdrawalExcusedById: null },
      data: { withdrawalExcusedById: moderatorId },
    });
    return count > 0;
  }

  /** Takes the runs that a run was made in place of out of their tester's means, a moderator having accepted it after that. */
  async excuseReplaced(tx: Transaction, replacementId: string, moderatorId: string): Promise<void> {
    await tx.run.updateMany({
      where: { replacedById: replacementId, withdrawnFrom: { not: null }, withdrawalExcusedById: null },
      data: { withdrawalExcusedById: moderatorId },
    });
  }

  /**
   * Another run that counts, with the same discharge of the same log, 0 being any: an accepted one, or one that was withdrawn when its figures
   * had been seen; null when there is none.
   */
  async countedTwin(tx: Transaction, id: string): Promise<{ readonly id: string; readonly review: string } | null> {
    const select = { logSha256: true, discharge: true } as const;
    const { logSha256, discharge } = await tx.run.findUniqueOrThrow({ where: { id }, select });
    const sameDischarge = discharge === 0 ? {} : { discharge: { in: [0, discharge] } };
    const others = { logSha256, ...sameDischarge, id: { not: id } };
    const found = { id: true, review: true } as const;
    const accepted = await tx.run.findFirst({ where: { ...others, review: "accepted" }, select: found });
    if (accepted) return accepted;
    const withdrawn = await tx.run.findMany({ where: { ...others, withdrawnFrom: { not: null } }, select: found });
    const counted = await this.countedWithdrawalsRepository.among(
      withdrawn.map((one) => one.id),
      id,
      tx,
    );
    return withdrawn.find((one) => counted.has(one.id)) ?? null;
  }

  /** Withdraws a run for good and frees its place, so that the same log can be uploaded again. */
  async withdraw(
    tx: Transaction,
    id: string,
    event: "withdraw" | "replace" = "withdraw",
    { reason = null, replacedById = null }: { reason?: string | null; replacedById?: string | null } = {},
  ): Promise<RunHead | null> {
    const head = await this.runTransitionsRepository.lock(tx, id);
    if (!head) return null;
    const select = {
      testerId: true,
      specimenId: true,
      benchId: true,
      protocolKey: true,
      logSha256: true,
      discharge: true,
    } as const;
    const same = await tx.run.findUniqueOrThrow({ where: { id }, select });
    const before = await tx.run.count({ where: { ...same, withdrawal: { gt: 0 } } });
    const by = { actorId: head.testerId, reason };
    // A run whose figures were seen stays in its tester's means; a replaced one until a moderator accepts the other, seeing both.
    const withdrawnFrom = head.state === "processed" ? head.review : null;
    return this.runTransitionsRepository.move(tx, id, event, by, {
      withdrawal: before + 1,
      replacedById,
      withdrawnFrom,
    });
  }

  /** Writes down that a run was made in place of another. */
  recordReplacement(tx: Transaction, { id, testerId, ...status }: RunHead, replacedId: string): void {
    const by = { actorId: testerId, reason: `In place of run ${replacedId}.` };
    this.runTransitionsRepository.record(tx, id, "stand-in", by, status, status);
  }
}

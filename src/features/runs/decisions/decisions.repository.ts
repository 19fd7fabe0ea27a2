import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../../platform/database/database.js";
import type { RunHead } from "../run-heads.repository.js";
import { RunTransitionsRepository } from "../transitions/run-transitions.repository.js";

/** What is read and written where a run is decided on, withdrawn or replaced. */
@Injectable()
export class DecisionsRepository {
  constructor(private readonly runTransitionsRepository: RunTransitionsRepository) {}

  /** Whether a run waits for being evaluated anew, since its pack has changed. */
  async isOutdated(tx: Transaction, id: string): Promise<boolean> {
    return (await tx.run.findUniqueOrThrow({ where: { id }, select: { outdated: true } })).outdated;
  }

  /** Takes the figures of a withdrawn run out of its tester's means; false where they are not in them. */
  async excuseWithdrawal(tx: Transaction, id: string, moderatorId: string): Promise<boolean> {
    const { count } = await tx.run.updateMany({
      where: { id, withdrawnFrom: { not: null }, withdrawalExcusedById: null },
      data: { withdrawalExcusedById: moderatorId },
    });
    return count > 0;
  }

  /** Another accepted run with the same discharge of the same log, 0 being any; null when there is none. */
  async acceptedTwin(tx: Transaction, id: string): Promise<string | null> {
    const select = { logSha256: true, discharge: true } as const;
    const { logSha256, discharge } = await tx.run.findUniqueOrThrow({ where: { id }, select });
    const sameDischarge = discharge === 0 ? {} : { discharge: { in: [0, discharge] } };
    const where = { logSha256, ...sameDischarge, review: "accepted", id: { not: id } };
    return (await tx.run.findFirst({ where, select: { id: true } }))?.id ?? null;
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
    // A moderator who asked sees both runs side by side; any other run whose figures were seen stays in its tester's means.
    const wasSeen = event === "withdraw" && head.state === "processed";
    const withdrawnFrom = wasSeen ? head.review : null;
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

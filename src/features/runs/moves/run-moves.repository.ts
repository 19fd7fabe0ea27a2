import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../../platform/database/database.js";

/** Which specimen a run is of. */
@Injectable()
export class RunMovesRepository {
  async specimenOf(tx: Transaction, runId: string): Promise<string> {
    return (await tx.run.findUniqueOrThrow({ where: { id: runId }, select: { specimenId: true } })).specimenId;
  }

  /** Whether a specimen is of a pack; it stays so while that is locked. */
  async isOfPack(tx: Transaction, id: string, packId: string): Promise<boolean> {
    return (await tx.specimen.count({ where: { id, packId } })) > 0;
  }

  /** Whether a run has ever been accepted, so that its figures were public. */
  async wasAccepted(tx: Transaction, runId: string): Promise<boolean> {
    return (await tx.review.count({ where: { runId, decision: "accept" } })) > 0;
  }

  async move(tx: Transaction, runId: string, specimenId: string): Promise<void> {
    await tx.run.update({ where: { id: runId }, data: { specimenId }, select: { id: true } });
  }
}

import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../../platform/database/database.js";

/** Which specimen a run is of. */
@Injectable()
export class RunMovesRepository {
  async specimenOf(tx: Transaction, runId: string): Promise<string> {
    return (await tx.run.findUniqueOrThrow({ where: { id: runId }, select: { specimenId: true } })).specimenId;
  }

  async move(tx: Transaction, runId: string, specimenId: string): Promise<void> {
    await tx.run.update({ where: { id: runId }, data: { specimenId }, select: { id: true } });
  }
}

import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import type { Transaction } from "../../../platform/database/database.js";
import { placesWhenSeen } from "../../../platform/database/rows/moved-runs.js";

/** A specimen, and the pack that it is of. */
export interface RunPlace {
  readonly specimenId: string;
  readonly packId: string;
}

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

  /** Until when a moderator is looking at a run, if one is; nobody comes to look at it while it is locked. */
  async claimedUntil(tx: Transaction, runId: string): Promise<Date | null> {
    const where = { runId, until: { gt: new Date() } };
    const claim = await tx.reviewClaim.findFirst({ where, select: { until: true }, orderBy: { until: "desc" } });
    return claim?.until ?? null;
  }

  /** Whether a run has ever been accepted, so that its figures were public. */
  async wasAccepted(tx: Transaction, runId: string): Promise<boolean> {
    return (await tx.review.count({ where: { runId, decision: "accept" } })) > 0;
  }

  /**
   * Where a run was when its tester moved it after its figures had been seen, if no moderator has accepted or moved it since; of several such
   * moves the first. Null where there is none, as there is none once its tester's words were erased.
   */
  async placeWhenSeen(tx: Transaction, runId: string, testerId: string): Promise<RunPlace | null> {
    const [place] = await tx.$queryRaw<RunPlace[]>`
      SELECT specimen_id::text AS "specimenId", pack_id::text AS "packId"
      FROM (${placesWhenSeen(Prisma.sql`moved.subject_id = ${runId} AND moved.actor_id = ${testerId}::uuid`)}) AS seen`;
    return place ?? null;
  }

  async move(tx: Transaction, runId: string, specimenId: string): Promise<void> {
    await tx.run.update({ where: { id: runId }, data: { specimenId }, select: { id: true } });
  }
}

import { Injectable } from "@nestjs/common";
import { Prisma, type TesterResult } from "../../../generated/prisma/client.js";
import type { Transaction } from "../../../platform/database/database.js";

/** What runs of a pack gave before it was corrected. */
export interface BeforeCorrection {
  readonly packId: string;
  /** The results behind its confirmed values. */
  readonly results: readonly TesterResult[];
  /** The runs behind these. */
  readonly runIds: readonly string[];
}

/** Runs behind what was kept that still wait for their evaluation, and will count after it. */
const WAITING = Prisma.sql`
  SELECT FROM run WHERE run.id = ANY(before.run_ids) AND run.pack_id = before.pack_id AND run.outdated
    AND (run.review_state = 'accepted' OR (run.withdrawn_from IS NOT NULL AND run.withdrawal_excused_by_id IS NULL))`;

/** While a pack is hidden none of its runs counts: what was kept is for when it is shown again. */
const HIDDEN = Prisma.sql`SELECT FROM pack WHERE pack.id = before.pack_id AND pack.hidden_at IS NOT NULL`;

/** Keeps what packs' runs gave before a correction, until they are evaluated anew, or before a pack was hidden, until it is shown. */
@Injectable()
export class BeforeCorrectionRepository {
  /** Nothing is changed of a pack that was corrected, or hidden, once more before its runs were evaluated: what had been before stays. */
  async keep(tx: Transaction, protocolKey: string, { packId, results, runIds }: BeforeCorrection): Promise<void> {
    const rows = results.map((one) => ({ ...one, firstRunAt: one.firstRunAt.toISOString() }));
    await tx.standingBeforeCorrection.createMany({
      data: [{ packId, protocolKey, results: rows, runIds: [...runIds] }],
      skipDuplicates: true,
    });
  }

  /** Which of these packs have runs that are evaluated anew since a correction. */
  async corrected(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<ReadonlySet<string>> {
    const where = { packId: { in: [...packIds] }, protocolKey };
    const rows = await tx.standingBeforeCorrection.findMany({ where, select: { packId: true } });
    return new Set(rows.map(({ packId }) => packId));
  }

  /** What is kept of these packs which are shown and whose runs have all been evaluated anew. */
  evaluated(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<BeforeCorrection[]> {
    return tx.$queryRaw<BeforeCorrection[]>`
      SELECT before.pack_id::text AS "packId", before.results, before.run_ids::text[] AS "runIds"
      FROM standing_before_correction AS before
      WHERE before.pack_id = ANY(${[...packIds]}::uuid[]) AND before.protocol_key = ${protocolKey} AND NOT EXISTS (${WAITING})
        AND NOT EXISTS (${HIDDEN})
      ORDER BY before.pack_id`;
  }

  async forget(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<void> {
    await tx.standingBeforeCorrection.deleteMany({ where: { packId: { in: [...packIds] }, protocolKey } });
  }

  /** Forgets all that a re-evaluation has carried over, since all runs are evaluated by it. */
  async forgetPrepared(tx: Transaction, reevaluationId: string, protocolKey: string): Promise<void> {
    await tx.$executeRaw`
      DELETE FROM standing_before_correction AS before USING prepared_pack AS prepared
      WHERE prepared.reevaluation_id = ${reevaluationId}::uuid AND prepared.pack_id = before.pack_id
        AND before.protocol_key = ${protocolKey} AND NOT EXISTS (${WAITING}) AND NOT EXISTS (${HIDDEN})`;
  }

  /** No longer waits for a run that could not be evaluated anew. */
  async leaveOut(tx: Transaction, runId: string): Promise<void> {
    await tx.$executeRaw`
      UPDATE standing_before_correction SET run_ids = array_remove(run_ids, ${runId}::uuid)
      WHERE run_ids @> ARRAY[${runId}::uuid]`;
  }
}

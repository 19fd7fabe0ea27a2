import { Injectable } from "@nestjs/common";
import type { QuantityRecord } from "../../core/record/judge.js";
import type { TesterRecord } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";

/** A figure of a run that its tester withdrew when it had been seen. */
export interface WithdrawnFigureRow {
  readonly runId: string;
  readonly testerId: string;
  readonly packId: string;
  readonly protocol: string;
  readonly withdrawnFrom: string;
  readonly uploadedAt: Date;
  readonly excused: boolean;
  readonly figure: string | null;
  readonly unit: string | null;
  readonly value: number | null;
  readonly uncertainty: number | null;
}

/** Withdrawn runs that the record of a tester names, the newest ones. */
const MAX_WITHDRAWN = 50;

/** Reads and writes what is known of testers. */
@Injectable()
export class RecordsRepository {
  constructor(private readonly database: Database) {}

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(work);
  }

  /** Does reads that see one state of the record, whatever is changed meanwhile. */
  snapshot<T>(read: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(read, { isolationLevel: "RepeatableRead" });
  }

  findMany(testerIds: readonly string[]): Promise<TesterRecord[]> {
    return this.database.testerRecord.findMany({ where: { testerId: { in: [...testerIds] } } });
  }

  /** The record of a tester, made where there is none, locked until the transaction ends. */
  async lock(tx: Transaction, testerId: string): Promise<TesterRecord> {
    await tx.testerRecord.createMany({ data: [{ testerId }], skipDuplicates: true });
    await tx.$executeRaw`SELECT FROM tester_record WHERE tester_id = ${testerId}::uuid FOR UPDATE`;
    return tx.testerRecord.findUniqueOrThrow({ where: { testerId } });
  }

  async storeJudgement(
    tx: Transaction,
    testerId: string,
    judgement: readonly QuantityRecord[],
    establishedSince: Date | null,
  ): Promise<void> {
    const data = { judgement: judgement as unknown as object[], establishedSince, judgedAt: new Date() };
    await tx.testerRecord.update({ where: { testerId }, data });
  }

  async vouch(tx: Transaction, testerId: string, moderatorId: string | null): Promise<void> {
    const data = { vouchedById: moderatorId, vouchedAt: moderatorId === null ? null : new Date() };
    await tx.testerRecord.update({ where: { testerId }, data });
  }

  countEstablished(tx: Transaction): Promise<number> {
    return tx.testerRecord.count({
      where: { OR: [{ vouchedAt: { not: null } }, { establishedSince: { not: null } }] },
    });
  }

  /** The packs and protocols that a tester has results of. */
  packsOf(tx: Transaction, testerId: string): Promise<{ packId: string; protocolKey: string }[]> {
    return tx.$queryRaw`
      SELECT DISTINCT pack_id::text AS "packId", protocol_key AS "protocolKey" FROM tester_result
      WHERE tester_id = ${testerId}::uuid ORDER BY 1, 2`;
  }

  /** Those who have measured a pack that this tester has measured. */
  async partnersOf(tx: Transaction, testerId: string): Promise<string[]> {
    const rows = await tx.$queryRaw<{ testerId: string }[]>`
      SELECT DISTINCT other.tester_id::text AS "testerId" FROM tester_result AS own
      JOIN tester_result AS other ON other.pack_id = own.pack_id AND other.protocol_key = own.protocol_key
        AND other.tester_id <> own.tester_id
      WHERE own.tester_id = ${testerId}::uuid`;
    return rows.map((row) => row.testerId);
  }

  /**
   * Runs of each tester that were withdrawn when their figures had been seen and that conformed, with their ranked figures, newest first;
   * those of packs in a sealed round when it has closed.
   */
  withdrawnAfterSeen(testerIds: readonly string[]): Promise<WithdrawnFigureRow[]> {
    return this.database.$queryRaw<WithdrawnFigureRow[]>`
      WITH seen AS (SELECT its.* FROM unnest(${[...testerIds]}::uuid[]) AS asked (id) CROSS JOIN LATERAL (
        SELECT run.* FROM run JOIN evaluation ON evaluation.id = run.current_evaluation_id
        WHERE run.tester_id = asked.id AND run.withdrawn_from IS NOT NULL
          AND evaluation.verdict <> 'nonconforming'
          AND NOT EXISTS (SELECT FROM sealed_round AS round WHERE round.pack_id = run.pack_id AND round.closes_at > now())
        ORDER BY run.id DESC LIMIT ${MAX_WITHDRAWN}) AS its)
      SELECT seen.id::text AS "runId", seen.tester_id::text AS "testerId", specimen.pack_id::text AS "packId", seen.protocol_key AS protocol,
        seen.withdrawn_from AS "withdrawnFrom", seen.created_at AS "uploadedAt",
        seen.withdrawal_excused_by_id IS NOT NULL AS excused, figure.key AS figure, figure.unit, figure.value, figure.uncertainty
      FROM seen JOIN specimen ON specimen.id = seen.specimen_id
      LEFT JOIN figure ON figure.evaluation_id = seen.current_evaluation_id AND figure.load = 0 AND figure.bound = 'none'
        AND figure.key IN ('power-10s', 'capacity', 'energy', 'resistance-10s', 'resistance-two-pulse', 'current-mean')
      ORDER BY seen.id DESC, figure.key`;
  }
}

import { Injectable } from "@nestjs/common";
import type { SharedUncertainty } from "../../core/model.js";
import { Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { insertRows } from "../../platform/database/rows/insert-rows.js";
import { COUNTS_WITHDRAWN } from "../../platform/database/rows/withdrawn-runs.js";

/** What a standing keeps of its pack. */
export interface RankedPack {
  readonly id: string;
  readonly chemistry: string;
  readonly series: number;
  readonly ratedCapacityMah: number;
}

/** One figure of one accepted run, evaluated under the active version. */
export interface CountedFigure {
  readonly runId: string;
  readonly packId: string;
  readonly testerId: string;
  readonly testerHandle: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: string;
  /** The standard load, A; null under the run's own load. */
  readonly load: number | null;
  readonly value: number;
  readonly uncertainty: number;
  /** What of it all testers may have in common. */
  readonly common?: number;
  /** The parts of a translated figure's uncertainty. */
  readonly shared: SharedUncertainty | null;
  readonly uploadedAt: Date;
  /** What had been decided when its run was withdrawn, its figures having been seen; null for an accepted run. */
  readonly withdrawnFrom: string | null;
}

export type NewStanding = Prisma.StandingCreateManyInput;

@Injectable()
export class StandingsRepository {
  constructor(private readonly database: Database) {}

  /** The pack, locked so that refreshes of its standings wait for each other until the transaction ends. */
  async lockPack(tx: Transaction, packId: string): Promise<RankedPack> {
    const [pack] = await tx.$queryRaw<RankedPack[]>`
      SELECT id::text, chemistry, series, rated_capacity_mah AS "ratedCapacityMah"
      FROM pack WHERE id = ${packId}::uuid FOR NO KEY UPDATE`;
    if (!pack) throw new Error(`there is no pack ${packId}`);
    return pack;
  }

  /** Several packs with those that were merged into them, locked until the transaction ends; unknown ones are passed over. */
  async lockPacks(tx: Transaction, packIds: readonly string[]): Promise<void> {
    await tx.$queryRaw`
      SELECT FROM pack WHERE id = ANY(${[...packIds]}::uuid[]) OR merged_into_id = ANY(${[...packIds]}::uuid[])
      ORDER BY id FOR NO KEY UPDATE`;
  }

  /** Whether anybody has weighed a specimen of a pack. */
  async isWeighed(tx: Transaction, packId: string): Promise<boolean> {
    const where = { packId, massGrams: { not: null } };
    return (await tx.specimen.findFirst({ where, select: { id: true } })) !== null;
  }

  /** Every pack with runs under a protocol that are accepted, or were when they were withdrawn, by id. */
  rankedPacks(tx: Transaction, protocolKey: string): Promise<RankedPack[]> {
    return tx.$queryRaw<RankedPack[]>`
      SELECT DISTINCT pack.id::text, pack.chemistry, pack.series, pack.rated_capacity_mah AS "ratedCapacityMah"
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      WHERE run.protocol_key = ${protocolKey} AND (run.review_state = 'accepted' OR run.withdrawn_from = 'accepted')
      ORDER BY 1`;
  }

  /**
   * Figures, those that are no mere bounds, of the packs' runs under the active version of a protocol and of the computation: of accepted
   * runs, and of conforming ones that were withdrawn when their figures had been seen. These stay in their tester's means unless
   * a moderator has accepted the cause, or rejected the run before, or the same log counts by an accepted run of the pack under the protocol.
   *
   * @param testerId only this tester's runs; those of all when null
   */
  countedFigures(
    packIds: readonly string[],
    protocolKey: string,
    testerId: string | null,
    tx: Transaction = this.database,
  ): Promise<CountedFigure[]> {
    const ofTester = testerId === null ? Prisma.empty : Prisma.sql`AND run.tester_id = ${testerId}::uuid`;
    return tx.$queryRaw<CountedFigure[]>`
      SELECT run.id::text AS "runId", specimen.pack_id::text AS "packId", account.id::text AS "testerId",
        account.handle AS "testerHandle", figure.key AS figure, figure.basis, figure.unit, figure.value, figure.uncertainty,
        nullif(figure.load, 0) AS load,
        CASE WHEN figure.load > 0 THEN json_build_object('own', figure.own_uncertainty, 'kinetics', figure.kinetics_uncertainty,
          'resistance', figure.resistance_uncertainty, 'form', figure.form_uncertainty) END AS shared,
        run.created_at AS "uploadedAt", run.withdrawn_from AS "withdrawnFrom"
      FROM run
      JOIN account ON account.id = run.tester_id
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      JOIN evaluation ON evaluation.id = run.current_evaluation_id
      JOIN active_version AS active ON active.protocol_key = evaluation.protocol_key
        AND active.protocol_version = evaluation.protocol_version
        AND active.computation_version = evaluation.computation_version
      JOIN figure ON figure.evaluation_id = evaluation.id
      WHERE specimen.pack_id = ANY(${packIds}::uuid[]) AND figure.bound = 'none' AND run.protocol_key = ${protocolKey} ${ofTester}
        AND account.suspended_at IS NULL AND pack.hidden_at IS NULL AND NOT run.outdated
        AND (run.review_state = 'accepted' OR ${COUNTS_WITHDRAWN})
      ORDER BY run.id, figure.key, figure.basis, figure.load`;
  }

  /** What changes whenever a tester with runs of a pack that count does; null without any. */
  async testersRevision(packId: string): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ revision: string | null }[]>`
      SELECT string_agg(concat_ws('.', id, xmin), ' ' ORDER BY id) AS revision FROM account
      WHERE id IN (
        SELECT run.tester_id FROM run JOIN specimen ON specimen.id = run.specimen_id
        WHERE specimen.pack_id = ${packId}::uuid AND (run.review_state = 'accepted' OR run.withdrawn_from IS NOT NULL)
      )`;
    return rows[0]?.revision ?? null;
  }

  /** Puts a pack's standings in the place of those before; what a re-evaluation has prepared of the pack is prepared anew. */
  async replace(
    tx: Transaction,
    packId: string,
    protocolKey: string,
    standings: readonly NewStanding[],
  ): Promise<void> {
    await tx.$executeRaw`
      WITH prepared AS (DELETE FROM prepared_pack WHERE pack_id = ${packId}::uuid)
      DELETE FROM standing WHERE pack_id = ${packId}::uuid AND protocol_key = ${protocolKey}`;
    await insertRows(tx, "standing", standings);
  }

  /** Does reads that see one state of the record, whatever is changed meanwhile. */
  snapshot<T>(read: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(read, { isolationLevel: "RepeatableRead" });
  }
}

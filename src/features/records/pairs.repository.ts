import { Injectable } from "@nestjs/common";
import { RECORD_FIGURES } from "../../core/record/quantities.js";
import { SETTLED_AFTER_DAYS } from "../../core/record/status.js";
import { Prisma } from "../../generated/prisma/client.js";
import type { Transaction } from "../../platform/database/database.js";

/** A tester's result beside one of another tester, of the same figure of the same pack at the same load. */
export interface PairRow {
  readonly packId: string;
  readonly protocolKey: string;
  readonly figure: string;
  readonly basis: string;
  readonly load: number;
  readonly value: number;
  readonly statedUncertainty: number;
  readonly otherTesterId: string;
  readonly otherValue: number;
  readonly sealed: boolean;
}

/** Reads what testers have measured in common, of the figures that records are judged by. */
@Injectable()
export class PairsRepository {
  /** A tester's results beside those of reference testers. */
  withReferences(tx: Transaction, testerId: string): Promise<PairRow[]> {
    return this.pairs(
      tx,
      testerId,
      Prisma.sql`EXISTS (SELECT FROM tester_record AS record
      WHERE record.tester_id = other.tester_id AND ${IS_REFERENCE})`,
    );
  }

  /** A tester's results beside those of everybody else. */
  withAll(tx: Transaction, testerId: string): Promise<PairRow[]> {
    return this.pairs(tx, testerId, Prisma.sql`true`);
  }

  private pairs(tx: Transaction, testerId: string, condition: Prisma.Sql): Promise<PairRow[]> {
    const figures = Prisma.join(
      RECORD_FIGURES.map(({ protocol, figure, basis }) => Prisma.sql`(${protocol}, ${figure}, ${basis})`),
    );
    return tx.$queryRaw<PairRow[]>`
      SELECT own.pack_id::text AS "packId", own.protocol_key AS "protocolKey", own.figure, own.basis, own.load, own.value,
        own.stated_uncertainty AS "statedUncertainty", other.tester_id::text AS "otherTesterId", other.value AS "otherValue",
        coalesce(own.first_run_at BETWEEN round.opens_at AND round.closes_at AND NOT EXISTS (
          SELECT FROM run
          WHERE run.tester_id = own.tester_id AND run.protocol_key = own.protocol_key AND run.pack_id = own.pack_id
            AND (run.review_state = 'accepted' OR run.withdrawn_from IS NOT NULL)
            AND (run.created_at > round.closes_at OR EXISTS (SELECT FROM audit_log AS moved
              WHERE moved.subject_kind = 'run' AND moved.subject_id = run.id::text AND moved.event = 'move'
                AND moved.at > round.closes_at))
        ), false) AS sealed
      FROM tester_result AS own
      JOIN tester_result AS other ON other.pack_id = own.pack_id AND other.protocol_key = own.protocol_key
        AND other.figure = own.figure AND other.basis = own.basis AND other.load = own.load
        AND other.tester_id <> own.tester_id AND other.runs > 0
      LEFT JOIN sealed_round AS round ON round.pack_id = own.pack_id
      WHERE own.tester_id = ${testerId}::uuid AND (own.protocol_key, own.figure, own.basis) IN (${figures}) AND ${condition}
      ORDER BY own.pack_id, own.protocol_key, own.figure, own.basis, own.load, other.tester_id`;
  }
}

/** Vouched for, or established for so long that others are judged by them; of a row of `tester_record` named `record`. */
export const IS_REFERENCE = Prisma.sql`(record.vouched_at IS NOT NULL
  OR record.established_since <= now() - make_interval(days => ${SETTLED_AFTER_DAYS}::int))`;

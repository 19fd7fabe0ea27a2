import { Injectable } from "@nestjs/common";
import type { RunStatus } from "../../core/lifecycle/run-lifecycle.js";
import { Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";

/** What of a run decides on its visibility and on what may happen to it. */
export interface RunHead extends RunStatus {
  readonly id: string;
  readonly testerId: string;
  readonly packId: string;
  readonly protocolKey: string;
  readonly replacedById: string | null;
  readonly currentEvaluationId: string | null;
  readonly verdict: string | null;
  /** What its current evaluation was made under; null for none. */
  readonly evaluatedUnder: { readonly version: number; readonly computationVersion: number } | null;
  readonly logBytes: number;
}

/** Reads the head of a run: one row, in one statement. */
@Injectable()
export class RunHeadsRepository {
  constructor(private readonly database: Database) {}

  async find(id: string): Promise<RunHead | null> {
    return (await this.database.$queryRaw<RunHead[]>(headOf(id)))[0] ?? null;
  }

  /** A run's head, locked until the transaction ends. */
  async lock(tx: Transaction, id: string): Promise<RunHead | null> {
    return (await tx.$queryRaw<RunHead[]>(Prisma.sql`${headOf(id)} FOR UPDATE OF run`))[0] ?? null;
  }

  /** Runs in whose place a run was made, the oldest first. */
  async replacedBy(id: string): Promise<string[]> {
    const where = { replacedById: id };
    const runs = await this.database.run.findMany({ where, select: { id: true }, orderBy: { id: "asc" } });
    return runs.map((run) => run.id);
  }
}

/** What a head is read from, and the tables that hold it. */
export const HEAD_COLUMNS = Prisma.sql`
  run.id::text, run.tester_id::text AS "testerId", specimen.pack_id::text AS "packId",
    run.protocol_key AS "protocolKey", run.state, run.review_state AS review, run.appealed,
    run.replaced_by_id::text AS "replacedById", run.current_evaluation_id::text AS "currentEvaluationId",
    evaluation.verdict,
    CASE WHEN evaluation.id IS NOT NULL THEN json_build_object('version', evaluation.protocol_version,
      'computationVersion', evaluation.computation_version) END AS "evaluatedUnder",
    log.bytes::float8 AS "logBytes"`;
export const HEAD_TABLES = Prisma.sql`
  run
  JOIN specimen ON specimen.id = run.specimen_id
  JOIN log ON log.sha256 = run.log_sha256
  LEFT JOIN evaluation ON evaluation.id = run.current_evaluation_id`;

const headOf = (id: string): Prisma.Sql => Prisma.sql`
  SELECT ${HEAD_COLUMNS} FROM ${HEAD_TABLES} WHERE run.id = ${id}::uuid`;

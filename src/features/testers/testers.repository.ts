import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { isUuid } from "../../platform/database/rows/uuid.js";

export interface TesterRow {
  readonly id: string;
  readonly handle: string;
  readonly createdAt: Date;
  /** Of the accepted runs. */
  readonly runs: number;
  readonly firstRunAt: Date | null;
  readonly lastRunAt: Date | null;
  readonly packCount: number;
}

/** Packs that a tester's page names. */
const MAX_PACKS = 100;

/** Reads what testers have added to the public record. */
@Injectable()
export class TestersRepository {
  constructor(private readonly database: Database) {}

  /** Id of the account with this handle, whatever its case, or with this id. */
  async idOf(handleOrId: string): Promise<string | null> {
    const found = isUuid(handleOrId)
      ? Prisma.sql`id = ${handleOrId}::uuid`
      : Prisma.sql`lower(handle) = lower(${handleOrId}) AND erased_at IS NULL`;
    const rows = await this.database.$queryRaw<{ id: string }[]>`SELECT id::text FROM account WHERE ${found}`;
    return rows[0]?.id ?? null;
  }

  /** Id of the account with this handle, whatever its case; null for none, and for an erased one. */
  async idOfHandle(handle: string): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT id::text FROM account WHERE lower(handle) = lower(${handle}) AND erased_at IS NULL`;
    return rows[0]?.id ?? null;
  }

  /** Those of some accounts that stand, in no order. */
  findMany(ids: readonly string[]): Promise<TesterRow[]> {
    return this.database.$queryRaw<TesterRow[]>`
      SELECT account.id::text, account.handle, account.created_at AS "createdAt", accepted.*
      FROM account
      CROSS JOIN LATERAL (
        SELECT count(*)::int AS runs, min(run.created_at) AS "firstRunAt", max(run.created_at) AS "lastRunAt",
          count(DISTINCT run.pack_id)::int AS "packCount"
        FROM run
        WHERE run.tester_id = account.id AND run.review_state = 'accepted'
      ) AS accepted
      WHERE account.id = ANY(${[...ids]}::uuid[]) AND account.erased_at IS NULL`;
  }

  /** Accepted runs of each tester by pack, most first. */
  runsByPack(ids: readonly string[]): Promise<{ testerId: string; packId: string; runs: number }[]> {
    return this.database.$queryRaw`
      SELECT asked.id::text AS "testerId", counted.* FROM unnest(${[...ids]}::uuid[]) AS asked (id)
      CROSS JOIN LATERAL (
        SELECT pack_id::text AS "packId", count(*)::int AS runs
        FROM run
        WHERE run.tester_id = asked.id AND run.review_state = 'accepted'
        GROUP BY pack_id ORDER BY count(*) DESC, pack_id LIMIT ${MAX_PACKS}
      ) AS counted`;
  }

  /** Accepted runs of each tester by protocol. */
  runsByProtocol(ids: readonly string[]): Promise<{ testerId: string; key: string; runs: number }[]> {
    return this.database.$queryRaw`
      SELECT tester_id::text AS "testerId", protocol_key AS key, count(*)::int AS runs FROM run
      WHERE tester_id = ANY(${[...ids]}::uuid[]) AND review_state = 'accepted'
      GROUP BY tester_id, protocol_key ORDER BY protocol_key`;
  }
}

import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { isUuid } from "../../platform/database/uuid.js";

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

  async find(handle: string): Promise<TesterRow | null> {
    const rows = await this.database.$queryRaw<TesterRow[]>`
      SELECT account.id::text, account.handle, account.created_at AS "createdAt", accepted.*
      FROM account
      CROSS JOIN LATERAL (
        SELECT count(*)::int AS runs, min(run.created_at) AS "firstRunAt", max(run.created_at) AS "lastRunAt",
          count(DISTINCT run.pack_id)::int AS "packCount"
        FROM run
        WHERE run.tester_id = account.id AND run.review_state = 'accepted'
      ) AS accepted
      WHERE lower(account.handle) = lower(${handle}) AND account.erased_at IS NULL`;
    return rows[0] ?? null;
  }

  /** Accepted runs by pack, most first. */
  runsByPack(id: string): Promise<{ packId: string; runs: number }[]> {
    return this.database.$queryRaw`
      SELECT pack_id::text AS "packId", count(*)::int AS runs
      FROM run
      WHERE run.tester_id = ${id}::uuid AND run.review_state = 'accepted'
      GROUP BY pack_id ORDER BY count(*) DESC, pack_id LIMIT ${MAX_PACKS}`;
  }

  /** Accepted runs by protocol. */
  runsByProtocol(id: string): Promise<{ key: string; runs: number }[]> {
    return this.database.$queryRaw`
      SELECT protocol_key AS key, count(*)::int AS runs FROM run
      WHERE tester_id = ${id}::uuid AND review_state = 'accepted'
      GROUP BY protocol_key ORDER BY protocol_key`;
  }
}

import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";
import type { Window } from "../../../platform/paging/page.js";

/** Whose accepted runs are listed. */
export type RunParent = "pack" | "tester";

const PARENT_ID: Readonly<Record<RunParent, Prisma.Sql>> = {
  pack: Prisma.sql`specimen.pack_id`,
  tester: Prisma.sql`run.tester_id`,
};

/** Reads which accepted runs packs and testers have, for many of them at once. */
@Injectable()
export class PublicRunsRepository {
  constructor(private readonly database: Database) {}

  /** One window of each parent's list, newest first. */
  async windows(
    parent: RunParent,
    ids: readonly string[],
    { after, before, backward, take }: Window,
  ): Promise<ReadonlyMap<string, readonly { readonly id: string }[]>> {
    const between = Prisma.join(
      [
        Prisma.sql`${PARENT_ID[parent]} = parent.id AND run.review_state = 'accepted'`,
        ...(after ? [Prisma.sql`run.id < ${after[0]}::uuid`] : []),
        ...(before ? [Prisma.sql`run.id > ${before[0]}::uuid`] : []),
      ],
      " AND ",
    );
    const order = backward ? Prisma.sql`ASC` : Prisma.sql`DESC`;
    const rows = await this.database.$queryRaw<{ parentId: string; id: string }[]>`
      SELECT parent.id::text AS "parentId", page.id::text
      FROM unnest(${[...ids]}::uuid[]) AS parent (id)
      CROSS JOIN LATERAL (
        SELECT run.id FROM run JOIN specimen ON specimen.id = run.specimen_id
        WHERE ${between} ORDER BY run.id ${order} LIMIT ${take}
      ) AS page
      ORDER BY page.id ${order}`;
    return Map.groupBy(rows, ({ parentId }) => parentId);
  }

  async counts(parent: RunParent, ids: readonly string[]): Promise<ReadonlyMap<string, number>> {
    const rows = await this.database.$queryRaw<{ parentId: string; runs: number }[]>`
      SELECT ${PARENT_ID[parent]}::text AS "parentId", count(*)::int AS runs
      FROM run JOIN specimen ON specimen.id = run.specimen_id
      WHERE ${PARENT_ID[parent]} = ANY(${[...ids]}::uuid[]) AND run.review_state = 'accepted'
      GROUP BY ${PARENT_ID[parent]}`;
    return new Map(rows.map(({ parentId, runs }) => [parentId, runs]));
  }
}

import { Injectable } from "@nestjs/common";
import { Prisma, type Specimen } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import type { Window } from "../../platform/paging/page.js";

export type SpecimenRow = Pick<Specimen, "id" | "packId" | "label" | "cycles" | "massGrams">;

/** A specimen is public once a run of it is accepted. */
const IS_PUBLIC = Prisma.sql`EXISTS (
  SELECT FROM run WHERE run.specimen_id = specimen.id AND run.review_state = 'accepted')`;

/** Reads which public specimens packs have, for many packs at once. */
@Injectable()
export class PackSpecimensRepository {
  constructor(private readonly database: Database) {}

  /** One window of each pack's list, in the order in which they were registered. */
  async windows(
    packIds: readonly string[],
    { after, before, backward, take }: Window,
  ): Promise<ReadonlyMap<string, readonly SpecimenRow[]>> {
    const between = Prisma.join(
      [
        Prisma.sql`specimen.pack_id = parent.id AND ${IS_PUBLIC}`,
        ...(after ? [Prisma.sql`specimen.id > ${after[0]}::uuid`] : []),
        ...(before ? [Prisma.sql`specimen.id < ${before[0]}::uuid`] : []),
      ],
      " AND ",
    );
    const order = backward ? Prisma.sql`DESC` : Prisma.sql`ASC`;
    const rows = await this.database.$queryRaw<SpecimenRow[]>`
      SELECT page.id::text, page.pack_id::text AS "packId", page.label, page.cycles, page.mass_grams AS "massGrams"
      FROM unnest(${[...packIds]}::uuid[]) AS parent (id)
      CROSS JOIN LATERAL (SELECT * FROM specimen WHERE ${between} ORDER BY specimen.id ${order} LIMIT ${take}) AS page
      ORDER BY page.id ${order}`;
    return Map.groupBy(rows, ({ packId }) => packId);
  }

  async counts(packIds: readonly string[]): Promise<ReadonlyMap<string, number>> {
    const rows = await this.database.$queryRaw<{ packId: string; specimens: number }[]>`
      SELECT pack_id::text AS "packId", count(*)::int AS specimens FROM specimen
      WHERE pack_id = ANY(${[...packIds]}::uuid[]) AND ${IS_PUBLIC} GROUP BY pack_id`;
    return new Map(rows.map(({ packId, specimens }) => [packId, specimens]));
  }
}

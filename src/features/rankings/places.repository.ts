import { Injectable } from "@nestjs/common";
import { COVERAGE_FACTOR } from "../../core/uncertainty/coverage-factor.js";
import { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import type { CursorKey } from "../../platform/paging/cursor.js";
import type { Window } from "../../platform/paging/page.js";
import type { RankingRow } from "./orders/ranking-rows.repository.js";

/** Which of a pack's standings are wanted; null where a part of it is not asked for. */
export interface PlacesFilter {
  readonly protocol: string | null;
  readonly figure: string | null;
}

/** A standing of one pack, with the ranking that it stands in. */
export interface PackPlaceRow extends RankingRow {
  readonly protocol: string;
  readonly figure: string;
  /** Among the established standings of its class; null for a provisional one, likewise its range. */
  readonly place: number | null;
  readonly bestPlace: number | null;
  readonly worstPlace: number | null;
}

/** Reads the standings of packs, each with its place among the packs of its class that are ranked by the same. */
@Injectable()
export class PlacesRepository {
  constructor(private readonly database: Database) {}

  /** One window of each pack's standings, by protocol, figure and load. */
  async windows(
    packIds: readonly string[],
    filter: PlacesFilter,
    { after, before, backward, take }: Window,
  ): Promise<ReadonlyMap<string, readonly PackPlaceRow[]>> {
    const reach = Prisma.sql`${COVERAGE_FACTOR}::float8 * sqrt(other.uncertainty * other.uncertainty + mine.uncertainty * mine.uncertainty)`;
    const at = ([protocol, figure, load]: CursorKey) =>
      Prisma.sql`(${String(protocol)}::text COLLATE "C", ${String(figure)}::text COLLATE "C", ${Number(load)}::float8)`;
    const key = Prisma.sql`(standing.protocol_key COLLATE "C", standing.figure COLLATE "C", standing.load)`;
    const between = Prisma.join(
      [
        Prisma.sql`standing.pack_id = parent.id`,
        ...conditionsOf(filter),
        ...(after ? [Prisma.sql`${key} > ${at(after)}`] : []),
        ...(before ? [Prisma.sql`${key} < ${at(before)}`] : []),
      ],
      " AND ",
    );
    const direction = backward ? Prisma.sql`DESC` : Prisma.sql`ASC`;
    const order = (table: Prisma.Sql) =>
      Prisma.sql`${table}.protocol_key COLLATE "C" ${direction}, ${table}.figure COLLATE "C" ${direction},
        ${table}.load ${direction}`;
    const rows = await this.database.$queryRaw<PackPlaceRow[]>`
      SELECT mine.pack_id::text AS "packId", mine.protocol_key AS protocol, mine.figure, mine.value, mine.unit,
        mine.uncertainty, mine.degrees_of_freedom AS "degreesOfFreedom", mine.basis, nullif(mine.load, 0) AS load,
        mine.own_load_value AS "ownLoadValue", mine.testers, mine.runs, mine.established, mine.disputed,
        mine.protocol_version AS "protocolVersion", mine.computation_version AS "computationVersion",
        CASE WHEN mine.established THEN places.place::int END AS place,
        CASE WHEN mine.established THEN places."bestPlace"::int END AS "bestPlace",
        CASE WHEN mine.established THEN places."worstPlace"::int END AS "worstPlace"
      FROM unnest(${[...packIds]}::uuid[]) AS parent (id)
      CROSS JOIN LATERAL (
        SELECT * FROM standing WHERE ${between} ORDER BY ${order(Prisma.sql`standing`)} LIMIT ${take}
      ) AS mine
      CROSS JOIN LATERAL (
        SELECT 1 + count(*) FILTER (WHERE other.sort_value > mine.sort_value) AS place,
          1 + count(*) FILTER (WHERE other.sort_value - mine.sort_value > ${reach}) AS "bestPlace",
          count(*) FILTER (WHERE mine.sort_value - other.sort_value <= ${reach}) AS "worstPlace"
        FROM standing AS other
        WHERE other.protocol_key = mine.protocol_key AND other.figure = mine.figure AND other.load = mine.load
          AND other.chemistry = mine.chemistry AND other.series = mine.series AND other.established AND mine.established
      ) AS places
      ORDER BY ${order(Prisma.sql`mine`)}`;
    return Map.groupBy(rows, ({ packId }) => packId);
  }

  async counts(packIds: readonly string[], filter: PlacesFilter): Promise<ReadonlyMap<string, number>> {
    const conditions = [Prisma.sql`pack_id = ANY(${[...packIds]}::uuid[])`, ...conditionsOf(filter)];
    const rows = await this.database.$queryRaw<{ packId: string; standings: number }[]>`
      SELECT pack_id::text AS "packId", count(*)::int AS standings FROM standing
      WHERE ${Prisma.join(conditions, " AND ")} GROUP BY pack_id`;
    return new Map(rows.map(({ packId, standings }) => [packId, standings]));
  }
}

function conditionsOf({ protocol, figure }: PlacesFilter): Prisma.Sql[] {
  return [
    ...(protocol ? [Prisma.sql`protocol_key = ${protocol}`] : []),
    ...(figure ? [Prisma.sql`figure = ${figure}`] : []),
  ];
}

import { Injectable } from "@nestjs/common";
import type { SharedUncertainty } from "../../core/model.js";
import { COVERAGE_FACTOR } from "../../core/uncertainty/coverage-factor.js";
import { Prisma, type Standing } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { columnOfLoad } from "../../platform/database/load-column.js";
import type { CursorKey } from "../../platform/paging/cursor.js";
import type { Window } from "../../platform/paging/page.js";

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
}

export type NewStanding = Prisma.StandingCreateManyInput;

/** Which packs a ranking is among. */
export interface RankingClass {
  readonly protocolKey: string;
  readonly figure: string;
  /** The standard load, A; null for figures that are ranked under the runs' own loads. */
  readonly load: number | null;
  readonly chemistry: string | null;
  readonly series: number | null;
  readonly capacityMin: number | null;
  readonly capacityMax: number | null;
}

export interface StandingRow {
  readonly packId: string;
  readonly value: number;
  readonly unit: string;
  readonly uncertainty: number;
  readonly degreesOfFreedom: number | null;
  readonly basis: string;
  readonly load: number | null;
  readonly ownLoadValue: number | null;
  readonly testers: number;
  readonly runs: number;
  readonly established: boolean;
  readonly protocolVersion: number;
  readonly computationVersion: number;
  readonly sortValue: number;
  readonly place: number;
  readonly bestPlace: number;
  readonly worstPlace: number;
  readonly tiedWith: string[];
}

/** Rows that one statement inserts: each has a score of parameters, and a statement at most 65,535. */
const ROWS_AT_ONCE = 1_000;

/** Most ties that a standing names, the nearest ones. */
const TIES_NAMED = 50;

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

  /** Every pack with accepted runs under a protocol, by id. */
  rankedPacks(tx: Transaction, protocolKey: string): Promise<RankedPack[]> {
    return tx.$queryRaw<RankedPack[]>`
      SELECT DISTINCT pack.id::text, pack.chemistry, pack.series, pack.rated_capacity_mah AS "ratedCapacityMah"
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      WHERE run.protocol_key = ${protocolKey} AND run.review_state = 'accepted' ORDER BY 1`;
  }

  /**
   * Figures, those that are no mere bounds, of the packs' accepted runs under the active version of a protocol and of the
   * computation.
   */
  countedFigures(
    packIds: readonly string[],
    protocolKey: string,
    tx: Transaction = this.database,
  ): Promise<CountedFigure[]> {
    return tx.$queryRaw<CountedFigure[]>`
      SELECT run.id::text AS "runId", specimen.pack_id::text AS "packId", account.id::text AS "testerId",
        account.handle AS "testerHandle", figure.key AS figure, figure.basis, figure.unit, figure.value, figure.uncertainty,
        nullif(figure.load, 0) AS load,
        CASE WHEN figure.load > 0 THEN json_build_object('own', figure.own_uncertainty, 'kinetics', figure.kinetics_uncertainty,
          'resistance', figure.resistance_uncertainty, 'form', figure.form_uncertainty) END AS shared
      FROM run
      JOIN account ON account.id = run.tester_id
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      JOIN evaluation ON evaluation.id = run.current_evaluation_id
      JOIN active_version AS active ON active.protocol_key = evaluation.protocol_key
        AND active.protocol_version = evaluation.protocol_version
        AND active.computation_version = evaluation.computation_version
      JOIN figure ON figure.evaluation_id = evaluation.id
      WHERE specimen.pack_id = ANY(${packIds}::uuid[]) AND run.review_state = 'accepted' AND figure.bound = 'none'
        AND account.suspended_at IS NULL AND pack.hidden_at IS NULL
        AND run.protocol_key = ${protocolKey}
      ORDER BY run.id, figure.key, figure.basis, figure.load`;
  }

  /** What changes whenever a tester with accepted runs of a pack does; null without any. */
  async testersRevision(packId: string): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ revision: string | null }[]>`
      SELECT string_agg(concat_ws('.', id, xmin), ' ' ORDER BY id) AS revision FROM account
      WHERE id IN (
        SELECT run.tester_id FROM run JOIN specimen ON specimen.id = run.specimen_id
        WHERE specimen.pack_id = ${packId}::uuid AND run.review_state = 'accepted'
      )`;
    return rows[0]?.revision ?? null;
  }

  async replace(
    tx: Transaction,
    packId: string,
    protocolKey: string,
    standings: readonly NewStanding[],
  ): Promise<void> {
    await tx.standing.deleteMany({ where: { packId, protocolKey } });
    await tx.standing.createMany({ data: [...standings] });
  }

  /** Does reads that see one state of the record, whatever is changed meanwhile. */
  snapshot<T>(read: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(read, { isolationLevel: "RepeatableRead" });
  }

  /** Every standing under a protocol. */
  all(tx: Transaction, protocolKey: string): Promise<Standing[]> {
    return tx.standing.findMany({ where: { protocolKey } });
  }

  /** Puts other standings in the place of all under a protocol. */
  async replaceAll(tx: Transaction, protocolKey: string, standings: readonly NewStanding[]): Promise<void> {
    await tx.standing.deleteMany({ where: { protocolKey } });
    for (let from = 0; from < standings.length; from += ROWS_AT_ONCE) {
      await tx.standing.createMany({ data: standings.slice(from, from + ROWS_AT_ONCE) });
    }
  }

  /** The standard loads at which the packs of a class have standings, the one with most established ones first. */
  async loadsOf(ranking: Omit<RankingClass, "load">): Promise<number[]> {
    const rows = await this.database.$queryRaw<{ load: number }[]>`
      SELECT load FROM standing WHERE ${Prisma.join(classConditions(ranking), " AND ")} AND load > 0
      GROUP BY load ORDER BY count(*) FILTER (WHERE established) DESC, count(*) DESC, load`;
    return rows.map(({ load }) => load);
  }

  /**
   * A page of a ranking, best first, with each standing's place in its class, the range of places that the uncertainties
   * allow, and the packs that it cannot be told from.
   */
  page(ranking: RankingClass, { after, before, backward, take }: Window): Promise<StandingRow[]> {
    const inClass = classCondition(ranking);
    const at = ([, sortValue, packId]: CursorKey) =>
      Prisma.sql`(${-Number(sortValue)}::float8, ${String(packId)}::uuid)`;
    const between = Prisma.join(
      [
        Prisma.sql`true`,
        ...(after ? [Prisma.sql`(-sort_value, pack_id) > ${at(after)}`] : []),
        ...(before ? [Prisma.sql`(-sort_value, pack_id) < ${at(before)}`] : []),
      ],
      " AND ",
    );
    const order = (table: Prisma.Sql) =>
      backward
        ? Prisma.sql`${table}.sort_value, ${table}.pack_id DESC`
        : Prisma.sql`${table}.sort_value DESC, ${table}.pack_id`;
    const reach = Prisma.sql`${COVERAGE_FACTOR}::float8 * sqrt(other.uncertainty ^ 2 + page.uncertainty ^ 2)`;
    return this.database.$queryRaw<StandingRow[]>`
      WITH class AS (SELECT * FROM standing WHERE ${inClass}),
        page AS (SELECT * FROM class WHERE ${between} ORDER BY ${order(Prisma.sql`class`)} LIMIT ${take})
      SELECT page.pack_id::text AS "packId", page.value, page.unit, page.uncertainty,
        page.degrees_of_freedom AS "degreesOfFreedom", page.basis, nullif(page.load, 0) AS load, page.own_load_value AS "ownLoadValue", page.testers, page.runs, page.established, page.protocol_version AS "protocolVersion", page.computation_version AS "computationVersion", page.sort_value AS "sortValue",
        places.place::int, places."bestPlace"::int, places."worstPlace"::int, ties."tiedWith"
      FROM page
      CROSS JOIN LATERAL (
        SELECT 1 + count(*) FILTER (WHERE other.sort_value > page.sort_value) AS place,
          1 + count(*) FILTER (WHERE other.sort_value - page.sort_value > ${reach}) AS "bestPlace",
          count(*) FILTER (WHERE page.sort_value - other.sort_value <= ${reach}) AS "worstPlace"
        FROM class AS other
      ) AS places
      CROSS JOIN LATERAL (
        SELECT array(
          SELECT other.pack_id::text FROM class AS other
          WHERE other.pack_id <> page.pack_id AND abs(other.sort_value - page.sort_value) <= ${reach}
          ORDER BY abs(other.sort_value - page.sort_value), other.pack_id LIMIT ${TIES_NAMED}
        ) AS "tiedWith"
      ) AS ties
      ORDER BY ${order(Prisma.sql`page`)}`;
  }

  /** How many packs are in a class. */
  async count(ranking: RankingClass): Promise<number> {
    const rows = await this.database.$queryRaw<{ packs: number }[]>`
      SELECT count(*)::int AS packs FROM standing WHERE ${classCondition(ranking)}`;
    return rows[0]?.packs ?? 0;
  }
}

function classCondition({ load, ...ranking }: RankingClass): Prisma.Sql {
  return Prisma.join([...classConditions(ranking), Prisma.sql`load = ${columnOfLoad(load)}::float8`], " AND ");
}

function classConditions(ranking: Omit<RankingClass, "load">): Prisma.Sql[] {
  const { protocolKey, figure, chemistry, series, capacityMin, capacityMax } = ranking;
  const conditions = [Prisma.sql`protocol_key = ${protocolKey}`, Prisma.sql`figure = ${figure}`];
  if (chemistry !== null) conditions.push(Prisma.sql`chemistry = ${chemistry}`);
  if (series !== null) conditions.push(Prisma.sql`series = ${series}`);
  if (capacityMin !== null) conditions.push(Prisma.sql`rated_capacity_mah >= ${capacityMin}`);
  if (capacityMax !== null) conditions.push(Prisma.sql`rated_capacity_mah <= ${capacityMax}`);
  return conditions;
}

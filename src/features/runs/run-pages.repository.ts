import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import type { Window } from "../../platform/paging/page.js";

/** A run, and what of it changes whenever its view does. */
export interface RunRef {
  readonly id: string;
  readonly testerId: string;
  readonly review: string;
  readonly revision: string;
}

/** Which runs a list shows: null where a part of it is not asked for. */
export interface RunsFilter {
  readonly packId: string | null;
  readonly specimenId: string | null;
  readonly testerId: string | null;
  readonly protocol: string | null;
  readonly verdict: string | null;
  readonly review: string | null;
  readonly state: string | null;
  readonly startedFrom: string | null;
  readonly startedTo: string | null;
  readonly uploadedFrom: string | null;
  readonly uploadedTo: string | null;
  /** Whose runs are shown whatever their review, beside the accepted ones; "everybody" for those who review. */
  readonly shownTo: string | null;
}

/** Reads which runs a page shows, in one statement, before anything of them is read. */
@Injectable()
export class RunPagesRepository {
  constructor(private readonly database: Database) {}

  async find(id: string): Promise<RunRef | null> {
    const rows = await this.database.$queryRaw<RunRef[]>`${REFS} WHERE run.id = ${id}::uuid`;
    return rows[0] ?? null;
  }

  /** In no order. */
  findMany(ids: readonly string[]): Promise<RunRef[]> {
    return this.database.$queryRaw<RunRef[]>`${REFS} WHERE run.id = ANY(${[...ids]}::uuid[])`;
  }

  /** Newest first. */
  list(filter: RunsFilter, { after, before, backward, take }: Window): Promise<RunRef[]> {
    const where = whereAll([
      ...conditionsOf(filter),
      ...(after ? [Prisma.sql`run.id < ${after[0]}::uuid`] : []),
      ...(before ? [Prisma.sql`run.id > ${before[0]}::uuid`] : []),
    ]);
    const order = backward ? Prisma.sql`ASC` : Prisma.sql`DESC`;
    // Which they are is found first, along an index: joined before, all runs of a pack are read for one page.
    return this.database.$queryRaw<RunRef[]>`${REFS}
      WHERE run.id = ANY (ARRAY(SELECT run.id ${tablesOf(filter)} ${where} ORDER BY run.id ${order} LIMIT ${take}))
      ORDER BY run.id ${order}`;
  }

  async count(filter: RunsFilter): Promise<number> {
    const rows = await this.database.$queryRaw<{ count: number }[]>`
      SELECT count(*)::int AS count ${tablesOf(filter)} ${whereAll(conditionsOf(filter))}`;
    return rows[0]?.count ?? 0;
  }
}

const JOINED = Prisma.sql`FROM run
  JOIN specimen ON specimen.id = run.specimen_id
  JOIN pack ON pack.id = specimen.pack_id
  JOIN bench ON bench.id = run.bench_id
  JOIN account ON account.id = run.tester_id
  LEFT JOIN evaluation ON evaluation.id = run.current_evaluation_id`;

/**
 * A row's `xmin` is another one after each change of the row; evaluations and logs never change. The text of an open question can
 * be erased.
 */
const REFS = Prisma.sql`
  SELECT run.id::text, run.tester_id::text AS "testerId", run.review_state AS review,
    concat_ws('.', run.xmin, run.current_evaluation_id, specimen.xmin, pack.xmin, bench.xmin, account.xmin,
      CASE WHEN run.review_state = 'info-requested' THEN (SELECT count(*) FROM audit_log JOIN audit_reason USING (position)
        WHERE subject_kind = 'run' AND subject_id = run.id::text) END) AS revision
  ${JOINED}`;

/** The tables that the conditions of a filter name. */
const tablesOf = ({ verdict }: RunsFilter): Prisma.Sql =>
  verdict ? Prisma.sql`FROM run JOIN evaluation ON evaluation.id = run.current_evaluation_id` : Prisma.sql`FROM run`;

const whereAll = (conditions: readonly Prisma.Sql[]): Prisma.Sql =>
  conditions.length > 0 ? Prisma.sql`WHERE ${Prisma.join([...conditions], " AND ")}` : Prisma.empty;

function conditionsOf(filter: RunsFilter): Prisma.Sql[] {
  const { packId, specimenId, testerId, protocol, verdict, review, state, shownTo } = filter;
  const { startedFrom, startedTo, uploadedFrom, uploadedTo } = filter;
  const seen = Prisma.sql`run.review_state = 'accepted'`;
  return [
    ...(shownTo === null ? [seen] : []),
    ...(shownTo !== null && shownTo !== EVERYBODY ? [Prisma.sql`(${seen} OR run.tester_id = ${shownTo}::uuid)`] : []),
    ...(packId
      ? [
          Prisma.sql`run.pack_id = coalesce((SELECT merged_into_id FROM pack AS asked WHERE asked.id = ${packId}::uuid), ${packId}::uuid)`,
        ]
      : []),
    ...(specimenId ? [Prisma.sql`run.specimen_id = ${specimenId}::uuid`] : []),
    ...(testerId ? [Prisma.sql`run.tester_id = ${testerId}::uuid`] : []),
    ...(protocol ? [Prisma.sql`run.protocol_key = ${protocol}`] : []),
    ...(verdict ? [Prisma.sql`evaluation.verdict = ${verdict}`] : []),
    ...(review ? [Prisma.sql`run.review_state = ${review}`] : []),
    ...(state ? [Prisma.sql`run.state = ${state}`] : []),
    ...(startedFrom ? [Prisma.sql`run.started_at >= ${startedFrom}::timestamptz`] : []),
    ...(startedTo ? [Prisma.sql`run.started_at < ${startedTo}::timestamptz`] : []),
    ...(uploadedFrom ? [Prisma.sql`run.created_at >= ${uploadedFrom}::timestamptz`] : []),
    ...(uploadedTo ? [Prisma.sql`run.created_at < ${uploadedTo}::timestamptz`] : []),
  ];
}

/** Those who review see the runs of everybody. */
export const EVERYBODY = "everybody";

import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import type { Window } from "../../platform/paging/page.js";
import type { ChangeEvent, ChangeKind } from "./change-kinds.js";

/** The newest change of a state of the record: its number and its time, since a restored record gives lost numbers out again. */
export interface ChangeMark {
  /** 0 before the first change. */
  readonly position: number;
  /** When that was, ms since 1970; 0 before the first change. */
  readonly changedAtMs: number;
}

/** A change as it is stored: what changed and when, and nothing of what it was. */
export interface ChangeRow {
  readonly position: number;
  readonly kind: ChangeKind;
  readonly event: ChangeEvent;
  readonly subjectId: string;
  readonly changedAt: Date;
}

/** A standing of a pack, without its place among others. */
export interface PackValueRow {
  readonly packId: string;
  readonly protocol: string;
  readonly protocolVersion: number;
  readonly computationVersion: number;
  readonly figure: string;
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
  readonly basis: string;
  readonly value: number;
  readonly unit: string;
  readonly uncertainty: number;
  readonly degreesOfFreedom: number | null;
  readonly ownLoadValue: number | null;
  readonly testers: number;
  readonly runs: number;
  readonly established: boolean;
  readonly disputed: boolean;
  readonly computedValue: number | null;
  readonly testersBeside: number;
  readonly held: number;
}

/** Reads what has changed of the public record. */
@Injectable()
export class ChangesRepository {
  constructor(private readonly database: Database) {}

  async newest(): Promise<ChangeMark> {
    const rows = await this.database.$queryRaw<ChangeMark[]>`
      SELECT position::float8, (extract(epoch FROM changed_at) * 1000)::float8 AS "changedAtMs"
      FROM public_change ORDER BY public_change.position DESC LIMIT 1`;
    return rows[0] ?? { position: 0, changedAtMs: 0 };
  }

  /** Whether the record has a change; false too where it was restored from a backup of before. */
  async has({ position, changedAtMs }: ChangeMark): Promise<boolean> {
    const rows = await this.database.$queryRaw<{ isThere: boolean }[]>`
      SELECT has_change(${position}::float8::bigint, ${changedAtMs}::float8::bigint) AS "isThere"`;
    return rows[0]?.isThere === true;
  }

  /** Id of this record: a backup and its restore keep it. */
  async recordId(): Promise<string> {
    return (await this.database.recordIdentity.findFirstOrThrow()).id;
  }

  count(): Promise<number> {
    return this.database.publicChange.count();
  }

  /** In the order in which they were committed. */
  list({ after, before, backward, take }: Window): Promise<ChangeRow[]> {
    const between = Prisma.join(
      [
        Prisma.sql`public_change.position > ${after ? Number(after[0]) : 0}::float8::bigint`,
        ...(before ? [Prisma.sql`public_change.position < ${Number(before[0])}::float8::bigint`] : []),
      ],
      " AND ",
    );
    const order = backward ? Prisma.sql`DESC` : Prisma.sql`ASC`;
    return this.database.$queryRaw<ChangeRow[]>`
      SELECT position::float8, kind, event, subject_id::text AS "subjectId", changed_at AS "changedAt"
      FROM public_change WHERE ${between} ORDER BY public_change.position ${order} LIMIT ${take}`;
  }

  /** Those of some packs that are in lists: neither hidden nor merged into another one. */
  async listedPacks(ids: readonly string[]): Promise<ReadonlySet<string>> {
    const where = { id: { in: [...ids] }, hiddenAt: null, mergedIntoId: null };
    return new Set((await this.database.pack.findMany({ where, select: { id: true } })).map(({ id }) => id));
  }

  /** Those of some testers who have added anything to the public record. */
  async publicTesters(ids: readonly string[]): Promise<string[]> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT id::text FROM unnest(${[...ids]}::uuid[]) AS asked (id) WHERE is_public_tester(id)`;
    return rows.map(({ id }) => id);
  }

  /** Standings of some packs, by protocol, figure and load. */
  valuesOf(packIds: readonly string[]): Promise<PackValueRow[]> {
    return this.database.$queryRaw<PackValueRow[]>`
      SELECT pack_id::text AS "packId", protocol_key AS protocol, protocol_version AS "protocolVersion",
        computation_version AS "computationVersion", figure, nullif(load, 0) AS load, basis, value, unit, uncertainty,
        degrees_of_freedom AS "degreesOfFreedom", own_load_value AS "ownLoadValue", testers, runs, established, disputed,
        computed_value AS "computedValue", testers_beside AS "testersBeside", held
      FROM standing WHERE pack_id = ANY(${[...packIds]}::uuid[])
      ORDER BY pack_id, protocol_key COLLATE "C", figure COLLATE "C", load`;
  }
}

import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import type { SearchedRule } from "../../platform/database/rows/finding-rows.js";
import { COUNTS_WITHDRAWN } from "../../platform/database/rows/withdrawn-runs.js";

/** One conforming run of a ladder, with what its evaluation says of it. */
export interface StepRow {
  readonly runId: string;
  readonly specimenId: string;
  readonly packId: string;
  readonly ratedCapacityMah: number;
  readonly labelContinuousC: number | null;
  readonly testerId: string;
  readonly testerHandle: string;
  readonly evaluationId: string;
  readonly review: string;
  /** What had been decided when it was withdrawn, its figures having been seen; null for any other. */
  readonly withdrawnFrom: string | null;
  readonly setpointA: number | null;
  readonly currentA: number;
  readonly currentUncertaintyA: number;
  readonly capacityMah: number;
  readonly runtimeS: number;
  readonly cutoffS: number | null;
  readonly stop: string;
  /** When the pack reached the temperature limit, s; null when it did not. */
  readonly limitReachedS: number | null;
  readonly startC: number;
  readonly highestC: number;
  readonly ambientC: number;
  readonly startedAt: Date | null;
  readonly uploadedAt: Date;
  readonly cycles: number | null;
  /** Stated accuracy of the bench: K, and % of the current. */
  readonly temperatureOffsetK: number;
  readonly currentPercent: number;
}

export interface StoredTrace {
  readonly encoding: string;
  readonly data: Uint8Array;
}

/** Which runs are steps: those of one specimen, or those of some packs that are accepted or go on counting. */
export type StepFilter =
  | { readonly specimenId: string }
  | { readonly countedOfPacks: readonly string[]; readonly testerId: string | null };

/** Whose steps are shown before they are accepted: one's own, and for those who review everybody's. */
export interface Seen {
  readonly ownerId: string | null;
  readonly seesAll: boolean;
}

@Injectable()
export class LadderStepsRepository {
  constructor(private readonly database: Database) {}

  /**
   * Conforming runs under the active version of a protocol, oldest first; rejected ones are left out. A withdrawn one whose figures had been seen
   * goes on counting unless a moderator has accepted the cause: one that was accepted, and one that nobody had decided on where it fails. One
   * that passes and that no moderator has looked at verifies nothing.
   */
  find(filter: StepFilter, protocolKey: string, tx: Transaction = this.database): Promise<StepRow[]> {
    const wanted =
      "specimenId" in filter
        ? Prisma.sql`run.specimen_id = ${filter.specimenId}::uuid
          AND (run.review_state NOT IN ('withdrawn', 'rejected') OR ${COUNTS_WITHDRAWN})`
        : Prisma.sql`specimen.pack_id = ANY(${[...filter.countedOfPacks]}::uuid[])
          AND CASE WHEN run.review_state = 'accepted' THEN true ELSE ${COUNTS_WITHDRAWN} END
          AND account.suspended_at IS NULL AND pack.hidden_at IS NULL AND NOT run.outdated
            AND run.tester_id = coalesce(${filter.testerId}::uuid, run.tester_id)`;
    const figure = (name: string) => Prisma.sql`(SELECT value FROM figure
      WHERE evaluation_id = evaluation.id AND key = ${name} AND basis <> 'translated')`;
    const observed = (rule: SearchedRule) => Prisma.sql`(SELECT observed FROM finding
      WHERE evaluation_id = evaluation.id AND rule = ${rule})`;
    return tx.$queryRaw<StepRow[]>`
      SELECT * FROM (
        SELECT run.id::text AS "runId", run.specimen_id::text AS "specimenId", pack.id::text AS "packId",
          pack.rated_capacity_mah AS "ratedCapacityMah", pack.label_continuous_c AS "labelContinuousC",
          run.tester_id::text AS "testerId", account.handle AS "testerHandle", evaluation.id::text AS "evaluationId", run.review_state AS review,
          run.withdrawn_from AS "withdrawnFrom", run.setpoint_a AS "setpointA",
          mean.value AS "currentA", mean.uncertainty AS "currentUncertaintyA",
          ${figure("capacity")} AS "capacityMah", ${figure("runtime")} AS "runtimeS",
          evaluation.cutoff_s AS "cutoffS", evaluation.stop, ${figure("time-to-limit")} AS "limitReachedS",
          ${observed("start-temperature")} AS "startC", ${observed("temperature-limit")} AS "highestC",
          run.ambient_c AS "ambientC", run.started_at AS "startedAt", run.created_at AS "uploadedAt", run.cycles,
          bench.temperature_offset AS "temperatureOffsetK", bench.current_percent AS "currentPercent"
        FROM run
        JOIN specimen ON specimen.id = run.specimen_id
        JOIN pack ON pack.id = specimen.pack_id
        JOIN account ON account.id = run.tester_id
        JOIN bench ON bench.id = run.bench_id
        JOIN evaluation ON evaluation.id = run.current_evaluation_id
        JOIN active_version AS active ON active.protocol_key = evaluation.protocol_key
          AND active.protocol_version = evaluation.protocol_version
          AND active.computation_version = evaluation.computation_version
        JOIN figure AS mean ON mean.evaluation_id = evaluation.id AND mean.key = 'current-mean'
          AND mean.basis <> 'translated'
        WHERE ${wanted} AND evaluation.verdict <> 'nonconforming' AND run.protocol_key = ${protocolKey}
      ) AS step
      WHERE "capacityMah" IS NOT NULL AND "startC" IS NOT NULL AND "highestC" IS NOT NULL AND "ambientC" IS NOT NULL
        AND "temperatureOffsetK" IS NOT NULL
        AND (coalesce("withdrawnFrom", 'accepted') = 'accepted' OR "cutoffS" IS NULL OR "limitReachedS" IS NOT NULL)
      ORDER BY "runId"`;
  }

  /**
   * What changes whenever steps do (by CASE, since OR would read all withdrawn runs of the record): the active version, and the runs, specimens and benches that they are read from with
   * whose they are. A row's `xmin` is another one after each change of the row; evaluations never change.
   */
  async revision(filter: StepFilter, protocolKey: string, seen: Seen): Promise<string> {
    const wanted =
      "specimenId" in filter
        ? Prisma.sql`specimen.id = ${filter.specimenId}::uuid`
        : Prisma.sql`specimen.pack_id = ANY(${[...filter.countedOfPacks]}::uuid[])`;
    const rows = await this.database.$queryRaw<{ revision: string }[]>`
      SELECT concat_ws(' ', active.protocol_version, active.computation_version, (
        SELECT string_agg(concat_ws('.', specimen.id, specimen.xmin, pack.xmin, account.xmin, run.id, run.xmin, bench.xmin,
          run.current_evaluation_id, (SELECT string_agg(other.id::text, '.' ORDER BY other.id) FROM run AS other
            WHERE run.withdrawn_from IS NOT NULL AND other.log_sha256 = run.log_sha256 AND other.review_state = 'accepted')),
          ' ' ORDER BY specimen.id, run.id)
        FROM specimen
        JOIN pack ON pack.id = specimen.pack_id
        JOIN account ON account.id = specimen.owner_id
        LEFT JOIN run ON run.specimen_id = specimen.id AND run.protocol_key = ${protocolKey}
          AND CASE WHEN run.review_state = 'accepted' OR run.withdrawn_from IS NOT NULL THEN true
            ELSE ${seen.seesAll} OR specimen.owner_id = ${seen.ownerId}::uuid END
        LEFT JOIN bench ON bench.id = run.bench_id
        WHERE ${wanted}
      )) AS revision
      FROM active_version AS active WHERE active.protocol_key = ${protocolKey}`;
    return rows[0]?.revision ?? "";
  }

  /** The stored trace of an evaluation. */
  traceOf(evaluationId: string): Promise<StoredTrace | null> {
    return this.database.trace.findUnique({ where: { evaluationId }, select: { encoding: true, data: true } });
  }
}

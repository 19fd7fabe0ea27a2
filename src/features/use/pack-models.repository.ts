import { Injectable } from "@nestjs/common";
import type { Missing } from "../../core/use/model/grade.js";
import { type PackModel, USE_MODEL_VERSION } from "../../core/use/model/pack-model.js";
import type { PooledPack } from "../../core/use/model/pack-run.js";
import type { PackFit, Validation } from "../../core/use/validate.js";
import { validationSums } from "../../core/use/validation-sums.js";
import { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { addJobs } from "../../platform/queue/add-job.js";
import type { StoredPackRun } from "./fit-thread.js";

/** A run that a pack's model may be fitted to, without its trace. */
export interface FittableRun extends Omit<StoredPackRun, "encoding" | "data"> {
  readonly evaluationId: string;
}

export interface StoredModel {
  readonly revision: string;
  readonly model: PackModel | null;
  readonly missing: readonly Missing[];
  readonly validation: Validation;
}

@Injectable()
export class PackModelsRepository {
  constructor(private readonly database: Database) {}

  /**
   * Accepted runs of a pack under the active versions, oldest first, and those of one specimen that are not public yet when it is given.
   * `perTester` newest of each tester, `most` in all.
   */
  runsOf(
    packId: string,
    specimenId: string | null,
    { perTester, most }: { readonly perTester: number; readonly most: number },
  ): Promise<FittableRun[]> {
    return this.database.$queryRaw<FittableRun[]>`
      SELECT id, "specimenId", "testerId", "ambientC", cycles, "reachedCutoff", "drawnBefore", "durationS", "evaluationId" FROM (
        SELECT run.id::text, run.specimen_id::text AS "specimenId", run.tester_id::text AS "testerId", run.ambient_c AS "ambientC",
          coalesce(run.cycles, specimen.cycles) AS cycles, evaluation.cutoff_s IS NOT NULL AS "reachedCutoff",
          CASE WHEN run.protocol_key = 'two-pulse' THEN 1 - coalesce(run.state_of_charge_percent, 50) / 100 END AS "drawnBefore",
          evaluation.duration_s AS "durationS", evaluation.id::text AS "evaluationId",
          row_number() OVER (PARTITION BY run.tester_id ORDER BY run.id DESC) AS newest
        FROM run
        JOIN specimen ON specimen.id = run.specimen_id
        JOIN pack ON pack.id = specimen.pack_id
        JOIN account ON account.id = run.tester_id
        JOIN evaluation ON evaluation.id = run.current_evaluation_id
        JOIN active_version AS active ON active.protocol_key = evaluation.protocol_key
          AND active.protocol_version = evaluation.protocol_version
          AND active.computation_version = evaluation.computation_version
        WHERE specimen.pack_id = ${packId}::uuid AND evaluation.verdict <> 'nonconforming' AND NOT run.outdated
          AND account.suspended_at IS NULL AND pack.hidden_at IS NULL
          AND (run.review_state = 'accepted'
            OR (run.specimen_id = ${specimenId}::uuid AND run.review_state NOT IN ('withdrawn', 'rejected')))
      ) AS fittable
      WHERE newest <= ${perTester} ORDER BY newest, id LIMIT ${most}`;
  }

  async tracesOf(evaluationIds: readonly string[]): Promise<Map<string, { encoding: string; data: Uint8Array }>> {
    const rows = await this.database.trace.findMany({ where: { evaluationId: { in: [...evaluationIds] } } });
    return new Map(rows.map(({ evaluationId, encoding, data }) => [evaluationId, { encoding, data }]));
  }

  async find(packId: string): Promise<StoredModel | null> {
    const row = await this.database.packModel.findUnique({ where: { packId } });
    return row && stored(row);
  }

  /** Keeps a pack's model, and what its validated runs add up to in the pack's class. */
  async store(
    packId: string,
    { chemistry, series }: PooledPack,
    revision: string,
    { model, missing, validation }: PackFit,
  ): Promise<void> {
    const data = {
      revision,
      model: model === null ? Prisma.DbNull : (model as unknown as Prisma.InputJsonObject),
      missing: missing as unknown as Prisma.InputJsonArray,
      validation: validation as unknown as Prisma.InputJsonObject,
      fittedAt: new Date(),
    };
    const sums = { modelVersion: USE_MODEL_VERSION, chemistry, series, ...validationSums(validation.runs) };
    await this.database.$transaction(async (tx) => {
      await tx.packModel.upsert({ where: { packId }, create: { packId, ...data }, update: data });
      await tx.validatedPack.upsert({ where: { packId }, create: { packId, ...sums }, update: sums });
    });
  }

  /** Has every stored model of another version fitted anew, by jobs. */
  async queueOutdated(task: string): Promise<void> {
    const packs = await this.database.$queryRaw<{ packId: string }[]>`
      SELECT pack_model.pack_id::text AS "packId" FROM pack_model LEFT JOIN validated_pack ON validated_pack.pack_id = pack_model.pack_id
      WHERE validated_pack.model_version IS DISTINCT FROM ${USE_MODEL_VERSION}::int`;
    await this.queueFits(
      task,
      packs.map(({ packId }) => packId),
    );
  }

  async queueFits(task: string, packIds: readonly string[]): Promise<void> {
    if (packIds.length === 0) return;
    const jobs = packIds.map((packId) => ({ payload: { packId }, key: `${task}:${packId}` }));
    await this.database.$transaction((tx) => addJobs(tx, task, jobs, "background"));
  }

  /** Who owns a specimen, and of which pack it is; null where there is none. */
  async specimen(id: string): Promise<{ ownerId: string; packId: string } | null> {
    return this.database.specimen.findUnique({ where: { id }, select: { ownerId: true, packId: true } });
  }

  /** The continuous current that ladders of a pack have verified, A; null where none has. */
  async verifiedContinuousA(packId: string): Promise<number | null> {
    const row = await this.database.standing.findFirst({
      where: { packId, figure: "verified-current" },
      select: { value: true },
    });
    return row?.value ?? null;
  }
}

const stored = (row: { revision: string; model: unknown; missing: unknown; validation: unknown }): StoredModel => ({
  revision: row.revision,
  model: row.model as PackModel | null,
  missing: row.missing as Missing[],
  validation: row.validation as Validation,
});

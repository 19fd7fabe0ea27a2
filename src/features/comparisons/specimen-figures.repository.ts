import { Injectable } from "@nestjs/common";
import { Database } from "../../platform/database/database.js";
import type { SpecimenFigureRow } from "./specimen-figures.js";

/** Runs of a specimen that are read, the newest ones: what a comparison costs stays bounded. */
export const MAX_RUNS = 50;

/** Reads what the accepted runs of specimens have found. */
@Injectable()
export class SpecimenFiguresRepository {
  constructor(private readonly database: Database) {}

  /** Figures of the newest accepted runs of some specimens, under the active version of each protocol. */
  find(specimenIds: readonly string[]): Promise<SpecimenFigureRow[]> {
    return this.database.$queryRaw<SpecimenFigureRow[]>`
      SELECT run.specimen_id::text AS "specimenId", run.id::text AS "runId", run.protocol_key AS protocol, figure.key AS figure, figure.unit,
        CASE WHEN figure.basis = 'translated' THEN 'translated' ELSE 'own' END AS basis, nullif(figure.load, 0) AS load,
        figure.value, figure.uncertainty, figure.bound
      FROM unnest(${[...specimenIds]}::uuid[]) AS asked (id) CROSS JOIN LATERAL (
        SELECT run.id, run.specimen_id, run.protocol_key, run.current_evaluation_id FROM run
        WHERE run.specimen_id = asked.id AND run.review_state = 'accepted' AND NOT run.outdated
        ORDER BY run.id DESC LIMIT ${MAX_RUNS}) AS run
      JOIN evaluation ON evaluation.id = run.current_evaluation_id
      JOIN active_version AS active ON active.protocol_key = evaluation.protocol_key
        AND active.protocol_version = evaluation.protocol_version
        AND active.computation_version = evaluation.computation_version
      JOIN figure ON figure.evaluation_id = evaluation.id
      ORDER BY run.id, figure.key, figure.basis, figure.load`;
  }

  /** What changes whenever the accepted runs of some specimens do, or what is shown with these. */
  async revision(specimenIds: readonly string[]): Promise<string> {
    const rows = await this.database.$queryRaw<{ revision: string | null }[]>`
      SELECT string_agg(concat_ws('.', specimen.id, specimen.xmin, pack.xmin, account.xmin, run.id, run.xmin, bench.xmin), ' '
        ORDER BY specimen.id, run.id) AS revision
      FROM specimen JOIN pack ON pack.id = specimen.pack_id JOIN account ON account.id = specimen.owner_id
      LEFT JOIN run ON run.specimen_id = specimen.id AND run.review_state = 'accepted'
      LEFT JOIN bench ON bench.id = run.bench_id
      WHERE specimen.id = ANY(${[...specimenIds]}::uuid[])`;
    return rows[0]?.revision ?? "";
  }
}

import { Injectable } from "@nestjs/common";
import { Database } from "../../../platform/database/database.js";

/** The specimen of a run, and its age then. */
export interface RunAge {
  readonly runId: string;
  readonly specimenId: string;
  readonly specimenLabel: string;
  /** Full cycles: what the run states, else the specimen. */
  readonly cycles: number;
}

@Injectable()
export class PackCyclesRepository {
  constructor(private readonly database: Database) {}

  agesOf(runIds: readonly string[]): Promise<RunAge[]> {
    return this.database.$queryRaw<RunAge[]>`
      SELECT run.id::text AS "runId", specimen.id::text AS "specimenId", specimen.label AS "specimenLabel",
        coalesce(run.cycles, specimen.cycles) AS cycles
      FROM run JOIN specimen ON specimen.id = run.specimen_id WHERE run.id = ANY(${[...runIds]}::uuid[])`;
  }

  /** What changes whenever a run of a pack that is or was accepted, or its specimen, is stated otherwise; null without any. */
  async revision(packId: string): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ revision: string | null }[]>`
      SELECT md5(string_agg(concat_ws('.', run.id, run.xmin, specimen.xmin), ' ' ORDER BY run.id)) AS revision
      FROM specimen JOIN run ON run.specimen_id = specimen.id
      WHERE specimen.pack_id = ${packId}::uuid AND (run.review_state = 'accepted' OR run.withdrawn_from = 'accepted')`;
    return rows[0]?.revision ?? null;
  }
}

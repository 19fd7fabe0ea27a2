import { Injectable } from "@nestjs/common";
import type { Chemistry } from "../../../core/model.js";
import { Database } from "../../../platform/database/database.js";

/** Packs of one chemistry with as many cells in series. */
export interface PackClass {
  readonly chemistry: Chemistry;
  readonly series: number;
}

/** A pack of a class and the state of its model. */
export interface ClassPack {
  readonly packId: string;
  readonly massGrams: number | null;
  /** Of its stored model; null where its runs make none, or none was fitted yet. */
  readonly revision: string | null;
}

@Injectable()
export class ClassModelsRepository {
  constructor(private readonly database: Database) {}

  /** The packs of a class that lists show, up to a mass where one is given, the lightest first; `most` of them. */
  packs({ chemistry, series }: PackClass, maxMassGrams: number | null, most: number): Promise<ClassPack[]> {
    return this.database.$queryRaw<ClassPack[]>`
      SELECT pack.id::text AS "packId", pack.mass_grams AS "massGrams",
        CASE WHEN pack_model.model IS NOT NULL THEN pack_model.revision END AS revision
      FROM pack LEFT JOIN pack_model ON pack_model.pack_id = pack.id
      WHERE pack.chemistry = ${chemistry} AND pack.series = ${series} AND pack.hidden_at IS NULL AND pack.merged_into_id IS NULL
        AND (${maxMassGrams}::float8 IS NULL OR pack.mass_grams <= ${maxMassGrams}::float8)
      ORDER BY pack.mass_grams NULLS LAST, pack.id LIMIT ${most}`;
  }

  /** The stored models of some packs as JSON text, with the revision that each is of. */
  models(packIds: readonly string[]): Promise<{ packId: string; revision: string; json: string; version: number }[]> {
    return this.database.$queryRaw`
      SELECT pack_id::text AS "packId", revision, model::text AS json, (model ->> 'modelVersion')::int AS version
      FROM pack_model WHERE pack_id = ANY (${packIds}::uuid[]) AND model IS NOT NULL`;
  }

  /** The continuous current that ladders of some packs have verified, A. */
  async verifiedContinuousA(packIds: readonly string[]): Promise<Map<string, number>> {
    const rows = await this.database.standing.findMany({
      where: { packId: { in: [...packIds] }, figure: "verified-current" },
      select: { packId: true, value: true },
    });
    return new Map(rows.map(({ packId, value }) => [packId, value]));
  }
}

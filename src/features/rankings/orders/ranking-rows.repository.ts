import { Injectable } from "@nestjs/common";
import { Database } from "../../../platform/database/database.js";
import type { RankedFigureKey } from "./ranking-orders.repository.js";

/** One ranking: a figure at one load. */
export interface RankedLoadKey extends RankedFigureKey {
  /** The standard load, A; 0 under the runs' own loads. */
  readonly load: number;
}

/** What a ranking shows of a standing beside its place. */
export interface RankingRow {
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
  readonly disputed: boolean;
  readonly protocolVersion: number;
  readonly computationVersion: number;
}

const COLUMNS = `pack_id::text AS "packId", value, unit, uncertainty, degrees_of_freedom AS "degreesOfFreedom", basis,
  nullif(load, 0) AS load, own_load_value AS "ownLoadValue", testers, runs, established, disputed,
  protocol_version AS "protocolVersion", computation_version AS "computationVersion"`;
const OF_PACKS = `FROM standing_history
  WHERE protocol_key = $1 AND figure = $2 AND load = $3 AND pack_id = ANY($4::uuid[])`;
const AT_REVISION = `SELECT ${COLUMNS} ${OF_PACKS} AND from_revision <= $5 AND to_revision > $5`;
const AT_INSTANT = `SELECT ${COLUMNS} ${OF_PACKS} AND valid_from < $5 AND valid_to >= $5`;

/** Reads what is shown of some standings, as they stood when their places were told. */
@Injectable()
export class RankingRowsRepository {
  constructor(private readonly database: Database) {}

  atRevision(ranking: RankedLoadKey, packIds: readonly string[], revision: number): Promise<Map<string, RankingRow>> {
    return this.read("ranking-rows", AT_REVISION, ranking, packIds, revision);
  }

  atInstant(ranking: RankedLoadKey, packIds: readonly string[], instant: Date): Promise<Map<string, RankingRow>> {
    return this.read("ranking-rows-as-of", AT_INSTANT, ranking, packIds, instant);
  }

  private async read(
    name: string,
    text: string,
    { protocolKey, figure, load }: RankedLoadKey,
    packIds: readonly string[],
    at: number | Date,
  ): Promise<Map<string, RankingRow>> {
    const values = [protocolKey, figure, load, packIds, at];
    const rows = await this.database.prepared<RankingRow>(name, text, values);
    return new Map(rows.map((row) => [row.packId, row]));
  }
}

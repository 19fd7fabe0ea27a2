import { Injectable } from "@nestjs/common";
import { Database } from "../../../platform/database/database.js";

export interface ClassRow {
  readonly chemistry: string;
  readonly series: number;
  readonly packs: number;
}

export interface ClassLoadRow {
  readonly chemistry: string;
  readonly series: number;
  /** 0 under the runs' own loads. */
  readonly load: number;
  readonly standings: number;
  readonly established: number;
}

/** Counts packs and standings by class, each from an index alone. */
@Injectable()
export class ClassesRepository {
  constructor(private readonly database: Database) {}

  /** Classes that have packs, by chemistry and cells in series. */
  classes(): Promise<ClassRow[]> {
    return this.database.$queryRaw<ClassRow[]>`
      SELECT chemistry, series, count(*)::int AS packs FROM pack
      GROUP BY chemistry, series ORDER BY chemistry COLLATE "C", series`;
  }

  /** The standings by one figure under one protocol. */
  loads(protocolKey: string, figure: string): Promise<ClassLoadRow[]> {
    return this.database.$queryRaw<ClassLoadRow[]>`
      SELECT chemistry, series, load, count(*)::int AS standings,
        (count(*) FILTER (WHERE established))::int AS established
      FROM standing WHERE protocol_key = ${protocolKey} AND figure = ${figure}
      GROUP BY chemistry, series, load ORDER BY chemistry, series, load`;
  }
}

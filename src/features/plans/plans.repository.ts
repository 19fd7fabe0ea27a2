import { Injectable } from "@nestjs/common";
import { Database } from "../../platform/database/database.js";

@Injectable()
export class PlansRepository {
  constructor(private readonly database: Database) {}

  /** Resistance of a pack 10 s into a full load, mohm, as its testers found it; null when nobody has measured it. */
  async resistanceOf(packId: string): Promise<number | null> {
    const rows = await this.database.$queryRaw<{ value: number }[]>`
      SELECT value FROM standing WHERE pack_id = ${packId}::uuid AND figure = 'resistance-10s' ORDER BY protocol_key LIMIT 1`;
    return rows[0]?.value ?? null;
  }
}

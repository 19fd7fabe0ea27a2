import { Injectable } from "@nestjs/common";
import { Database } from "../database/database.js";
import { CHUNK_BYTES, type StoredChunk, unpackChunk } from "./packed-chunk.js";

/** What is stored of a log is not what was stored. */
export class DamagedLog extends Error {
  override readonly name = "DamagedLog";
}

const CHUNK = `SELECT log_chunk.bytes, packed, log.bytes::float8 AS "logBytes" FROM log_chunk JOIN log USING (sha256)
  WHERE log_chunk.sha256 = $1 AND "position" = $2`;

/** Reads the uploaded bytes of logs, however they are stored. */
@Injectable()
export class LogChunksRepository {
  constructor(private readonly database: Database) {}

  /**
   * The bytes of one chunk as they were uploaded; null where there is none.
   *
   * @throws DamagedLog where they cannot be unpacked
   */
  async find(sha256: Uint8Array<ArrayBuffer>, position: number): Promise<Uint8Array | null> {
    // Prisma would copy every chunk through text several times over.
    const { rows } = await this.database.pool.query<StoredChunk & { logBytes: number }>(CHUNK, [sha256, position]);
    const [row] = rows;
    if (!row) return null;
    const length = Math.max(0, Math.min(CHUNK_BYTES, row.logBytes - position * CHUNK_BYTES));
    try {
      return await unpackChunk(row, length);
    } catch (cause) {
      const log = Buffer.from(sha256).toString("hex");
      throw new DamagedLog(`chunk ${position} of the log ${log} is damaged where it is stored`, { cause });
    }
  }
}

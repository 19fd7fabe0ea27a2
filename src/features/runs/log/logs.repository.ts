import { createReadStream } from "node:fs";
import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { LogChunksRepository } from "../../../platform/storage/log-chunks.repository.js";
import { CHUNK_BYTES, packChunk, type StoredChunk } from "../../../platform/storage/packed-chunk.js";
import type { ReceivedLog } from "../upload/received-log.js";
import type { ByteRange } from "./byte-range.js";
import { LogRemovalsRepository } from "./log-removals.repository.js";

/** The uploaded bytes, addressed by their SHA-256, kept in chunks so that no log is ever whole in memory. */
@Injectable()
export class LogsRepository {
  constructor(
    private readonly database: Database,
    private readonly logRemovalsRepository: LogRemovalsRepository,
    private readonly logChunksRepository: LogChunksRepository,
  ) {}

  /**
   * Stores a log unless the record has it already; again when its bytes were removed. A concurrent upload of the same bytes waits for this
   * transaction, and so does their removal.
   */
  async store(tx: Transaction, log: ReceivedLog): Promise<void> {
    const { sha256 } = log;
    let position = 0;
    for await (const bytes of chunksOf(log.path)) {
      const chunk = await packChunk(bytes, log.bytes);
      const isStored = position === 0 && (await this.storeFirst(tx, log, chunk));
      if (position === 0 && !isStored && !(await this.isRemoved(tx, sha256))) return;
      if (!isStored) await tx.logChunk.create({ data: { sha256, position, ...chunk }, select: { position: true } });
      position++;
    }
  }

  /** Stores a log with its first chunk; false when the record has it already, whether or not its bytes were removed. */
  private async storeFirst(tx: Transaction, log: ReceivedLog, chunk: StoredChunk): Promise<boolean> {
    const { sha256, bytes, mediaType } = log;
    const stored = await tx.$executeRaw`
      WITH made AS (
        INSERT INTO log (sha256, bytes, media_type) VALUES (${sha256}, ${bytes}::bigint, ${mediaType})
        ON CONFLICT DO NOTHING RETURNING sha256
      )
      INSERT INTO log_chunk (sha256, "position", bytes, packed)
      SELECT sha256, 0, ${chunk.bytes}::bytea, ${chunk.packed}::bytea FROM made`;
    return stored > 0;
  }

  /** Keeps of a file that is no log its digest alone, unless the record has its bytes already. */
  async storeDigest(tx: Transaction, { sha256, bytes, mediaType }: ReceivedLog): Promise<void> {
    const data = [{ sha256, bytes: BigInt(bytes), mediaType }];
    const { count } = await tx.log.createMany({ data, skipDuplicates: true });
    if (count === 1) await tx.logRemoval.create({ data: { sha256 } });
  }

  /** Whether the bytes of a log were removed; they count as stored again from now on, for a day unless they are evaluated. */
  private async isRemoved(tx: Transaction, sha256: Uint8Array<ArrayBuffer>): Promise<boolean> {
    await tx.$executeRaw`SELECT FROM log WHERE sha256 = ${sha256} FOR KEY SHARE`;
    const { count } = await tx.logRemoval.deleteMany({ where: { sha256 } });
    if (count === 0) return false;
    await this.logRemovalsRepository.queue(tx, [sha256]);
    return true;
  }

  /** What a run's log is called, how large it is, and since when its bytes are removed. */
  async ofRun(id: string) {
    const select = {
      fileName: true,
      log: { select: { sha256: true, bytes: true, mediaType: true, removal: true } },
    } as const;
    const { fileName, log } = await this.database.run.findUniqueOrThrow({ where: { id }, select });
    return { fileName, ...log };
  }

  /** The first bytes. @throws DamagedLog */
  async firstBytes(sha256: Uint8Array<ArrayBuffer>, count: number): Promise<Uint8Array> {
    const start = await this.logChunksRepository.find(sha256, 0);
    return start?.subarray(0, count) ?? new Uint8Array();
  }

  /** All bytes of a log that is stored in one chunk, in a buffer of their own; null of a longer one. @throws DamagedLog */
  async readSmall(sha256: Uint8Array<ArrayBuffer>): Promise<Uint8Array<ArrayBuffer> | null> {
    const only = (await this.logChunksRepository.find(sha256, 0)) ?? new Uint8Array();
    return only.length < CHUNK_BYTES ? Uint8Array.from(only) : null;
  }

  /** The bytes in order, a chunk at a time; all of them, or those from `start` to `end`. @throws DamagedLog */
  async *read(
    sha256: Uint8Array<ArrayBuffer>,
    { start, end }: ByteRange = { start: 0, end: Number.POSITIVE_INFINITY },
  ): AsyncGenerator<Uint8Array> {
    const first = Math.floor(start / CHUNK_BYTES);
    for (let position = first; position * CHUNK_BYTES <= end; position++) {
      const chunk = await this.logChunksRepository.find(sha256, position);
      if (!chunk) return;
      const offset = position * CHUNK_BYTES;
      yield chunk.subarray(Math.max(0, start - offset), end + 1 - offset);
      if (chunk.length < CHUNK_BYTES) return;
    }
  }
}

/** A file's bytes, a chunk at a time. */
function chunksOf(path: string): AsyncIterable<Buffer<ArrayBuffer>> {
  return createReadStream(path, { highWaterMark: CHUNK_BYTES });
}

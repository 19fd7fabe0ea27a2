import { createHash, randomBytes } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { Database } from "../database/database.js";

/** More than the free space that a table's last pages may hold. */
const PROBE_BYTES = 1 << 18;

class Undo extends Error {}

/** What the database says of its own room. */
@Injectable()
export class StorageRepository {
  constructor(private readonly database: Database) {}

  /** Bytes of all logs that are stored. */
  async storedBytes(): Promise<number> {
    const { bytes } = await this.database.storedLogs.findUniqueOrThrow({ where: { id: 1 } });
    return Number(bytes);
  }

  /** Stores what a log is stored as, and undoes it. @throws what storing it fails with */
  async probe(): Promise<void> {
    const bytes = Uint8Array.from(randomBytes(PROBE_BYTES));
    const sha256 = createHash("sha256").update(bytes).digest() as Buffer<ArrayBuffer>;
    try {
      await this.database.$transaction(async (tx) => {
        await tx.log.create({ data: { sha256, bytes: BigInt(PROBE_BYTES), mediaType: "application/octet-stream" } });
        await tx.logChunk.create({ data: { sha256, position: 0, bytes }, select: { position: true } });
        throw new Undo();
      });
    } catch (error) {
      if (!(error instanceof Undo)) throw error;
    }
  }
}

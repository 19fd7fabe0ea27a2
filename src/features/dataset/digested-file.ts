import { createHash, randomUUID } from "node:crypto";
import { type FileHandle, open, rm } from "node:fs/promises";
import { join } from "node:path";
import type { DatasetStore, StoredFile } from "./dataset-store.js";

/** A file that is written from front to back and then stands under its own digest. */
export class DigestedFile {
  private readonly hash = createHash("sha256");
  private bytes = 0;

  private constructor(
    private readonly store: DatasetStore,
    private readonly path: string,
    private readonly handle: FileHandle,
  ) {}

  static async create(store: DatasetStore): Promise<DigestedFile> {
    const path = join(store.drafts, `${randomUUID()}.part`);
    return new DigestedFile(store, path, await open(path, "wx"));
  }

  async write(chunk: Uint8Array): Promise<void> {
    this.hash.update(chunk);
    this.bytes += chunk.length;
    await this.handle.writeFile(chunk);
  }

  /** Keeps it under its digest, whole and on the disk. */
  async keep(): Promise<StoredFile> {
    const sha256 = this.hash.digest("hex");
    await this.handle.sync();
    await this.handle.close();
    const file = { sha256, bytes: this.bytes };
    await this.store.keep(this.path, file);
    return file;
  }

  async discard(): Promise<void> {
    await this.handle.close();
    await rm(this.path, { force: true });
  }
}

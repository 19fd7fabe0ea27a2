import { createHash, randomUUID } from "node:crypto";
import { type FileHandle, open, rename, rm } from "node:fs/promises";
import { join } from "node:path";

export interface StoredFile {
  readonly sha256: string;
  readonly bytes: number;
}

/** A file that is written from front to back and then stands under its own digest. */
export class DigestedFile {
  private readonly hash = createHash("sha256");
  private bytes = 0;

  private constructor(
    private readonly folder: string,
    private readonly path: string,
    private readonly handle: FileHandle,
  ) {}

  static async create(folder: string): Promise<DigestedFile> {
    const path = join(folder, `${randomUUID()}.part`);
    return new DigestedFile(folder, path, await open(path, "wx"));
  }

  async write(chunk: Uint8Array): Promise<void> {
    this.hash.update(chunk);
    this.bytes += chunk.length;
    await this.handle.writeFile(chunk);
  }

  /** Puts it under its name, whole and on the disk. */
  async keep(): Promise<StoredFile> {
    const sha256 = this.hash.digest("hex");
    await this.handle.sync();
    await this.handle.close();
    await rename(this.path, join(this.folder, sha256));
    return { sha256, bytes: this.bytes };
  }

  async discard(): Promise<void> {
    await this.handle.close();
    await rm(this.path, { force: true });
  }
}

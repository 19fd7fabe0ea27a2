import { createReadStream } from "node:fs";
import { readdir, readFile, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { makeFolder } from "../../platform/files/make-folder.js";
import type { ByteSpan } from "../../platform/object-storage/object-body.js";
import { notFound } from "../../platform/problems/problem.js";
import type { DatasetStore, StoredFile } from "./dataset-store.js";

const DRAFT = /\.part$/;

/** Snapshots and files in a folder of this disk. */
export class FolderStore implements DatasetStore {
  readonly drafts: string;
  /** It costs nothing to look. */
  readonly believedMs = 0;
  private readonly folder: string;

  /** @param all where those of every record are that this disk has served */
  constructor(
    private readonly all: string,
    recordId: string,
  ) {
    this.folder = join(all, recordId);
    this.drafts = join(this.folder, "files");
  }

  /** Makes the folders, and removes what was kept before each record had its own. */
  async prepare(): Promise<void> {
    for (const name of ["files", "snapshots"]) {
      await rm(join(this.all, name), { recursive: true, force: true });
      await makeFolder(join(this.folder, name));
    }
  }

  async removeDrafts(): Promise<void> {
    for (const name of await readdir(this.drafts)) {
      if (DRAFT.test(name)) await rm(join(this.drafts, name), { force: true });
    }
  }

  snapshots(): Promise<string[]> {
    return readdir(join(this.folder, "snapshots")).catch((error) => ifMissing(error, []));
  }

  snapshot(name: string): Promise<string | null> {
    return readFile(this.pathOf(name), "utf8").catch((error) => ifMissing(error, null));
  }

  async putSnapshot(name: string, text: string): Promise<void> {
    const path = this.pathOf(name);
    await writeFile(`${path}.part`, text);
    await rename(`${path}.part`, path);
  }

  async removeSnapshot(name: string): Promise<void> {
    await rm(this.pathOf(name), { force: true });
  }

  async files(): Promise<string[]> {
    return (await readdir(this.drafts)).filter((name) => !DRAFT.test(name));
  }

  async keep(draft: string, { sha256 }: StoredFile): Promise<void> {
    await rename(draft, join(this.folder, "files", sha256));
  }

  async removeFile(sha256: string): Promise<void> {
    await rm(join(this.folder, "files", sha256), { force: true });
  }

  async *read(sha256: string, span: ByteSpan): AsyncGenerator<Uint8Array> {
    try {
      yield* createReadStream(join(this.folder, "files", sha256), span);
    } catch (error) {
      if (ifMissing(error, null) === null) throw notFound("file");
    }
  }

  private pathOf(name: string): string {
    return join(this.folder, "snapshots", name);
  }
}

function ifMissing<T>(error: unknown, otherwise: T): T {
  if ((error as NodeJS.ErrnoException).code === "ENOENT") return otherwise;
  throw error;
}

import { rm } from "node:fs/promises";
import { join } from "node:path";
import { makeFolder } from "../../platform/files/make-folder.js";
import type { ByteSpan } from "../../platform/object-storage/object-body.js";
import type { ObjectStorage } from "../../platform/object-storage/object-storage.js";
import { NoSuchObject } from "../../platform/object-storage/unavailable.js";
import { notFound } from "../../platform/problems/problem.js";
import type { DatasetStore, StoredFile } from "./dataset-store.js";

/** What another process has added is listed within this time; an id that is not known is looked for at once. */
const BELIEVED_MS = 5_000;

/** Snapshots and files as objects of a bucket, below the id of their record. */
export class ObjectStore implements DatasetStore {
  readonly drafts: string;
  readonly believedMs = BELIEVED_MS;
  private readonly folder: string;

  /** @param all where those of every record are that this disk has served */
  constructor(
    private readonly storage: ObjectStorage,
    all: string,
    private readonly recordId: string,
  ) {
    this.folder = join(all, recordId);
    this.drafts = join(this.folder, "drafts");
  }

  /** Makes the folder of drafts, and removes what was kept on this disk before the storage was configured. */
  async prepare(): Promise<void> {
    for (const name of ["files", "snapshots"]) await rm(join(this.folder, name), { recursive: true, force: true });
    await makeFolder(this.drafts);
  }

  async removeDrafts(): Promise<void> {
    await rm(this.drafts, { recursive: true, force: true });
    await makeFolder(this.drafts);
  }

  snapshots(): Promise<string[]> {
    return this.storage.list(this.keyOf("snapshots", ""));
  }

  snapshot(name: string): Promise<string | null> {
    return this.storage.text(this.keyOf("snapshots", name));
  }

  putSnapshot(name: string, text: string): Promise<void> {
    return this.storage.putText(this.keyOf("snapshots", name), text);
  }

  removeSnapshot(name: string): Promise<void> {
    return this.storage.remove(this.keyOf("snapshots", name));
  }

  files(): Promise<string[]> {
    return this.storage.list(this.keyOf("files", ""));
  }

  /** What is there already, as after a try that was cut short, is not sent again. */
  async keep(draft: string, file: StoredFile): Promise<void> {
    const key = this.keyOf("files", file.sha256);
    if ((await this.storage.size(key)) !== file.bytes) await this.storage.putFile(key, draft, file);
    await rm(draft, { force: true });
  }

  removeFile(sha256: string): Promise<void> {
    return this.storage.remove(this.keyOf("files", sha256));
  }

  async *read(sha256: string, span: ByteSpan): AsyncGenerator<Uint8Array> {
    try {
      yield* this.storage.read(this.keyOf("files", sha256), span);
    } catch (error) {
      throw error instanceof NoSuchObject ? notFound("file") : error;
    }
  }

  private keyOf(shelf: "files" | "snapshots", name: string): string {
    return `${this.recordId}/${shelf}/${name}`;
  }
}

import type { ByteSpan } from "../../platform/object-storage/object-body.js";

export interface StoredFile {
  /** Hexadecimal. */
  readonly sha256: string;
  readonly bytes: number;
}

/**
 * Where the snapshots of one record are kept, and the files that they share. Each is there whole or not at all, and never changes.
 * Who reads sees what was written before; one process writes at a time.
 */
export interface DatasetStore {
  /** Folder on this disk where files are written before they are kept. */
  readonly drafts: string;
  /** How long what is known of the ids of snapshots is believed before they are listed anew, ms. */
  readonly believedMs: number;

  /** Makes ready for writing. */
  prepare(): Promise<void>;
  /** Removes drafts that nobody will keep any more. */
  removeDrafts(): Promise<void>;

  /** Names of all snapshots. */
  snapshots(): Promise<string[]>;
  /** The text of one; null when there is none. */
  snapshot(name: string): Promise<string | null>;
  putSnapshot(name: string, text: string): Promise<void>;
  removeSnapshot(name: string): Promise<void>;

  /** Names of all files: their SHA-256. */
  files(): Promise<string[]>;
  /** Keeps a draft under its SHA-256. It is no draft any more then. */
  keep(draft: string, file: StoredFile): Promise<void>;
  removeFile(sha256: string): Promise<void>;
  /**
   * The bytes of a span, as they come.
   *
   * @throws Problem not-found when there is no such file any more
   */
  read(sha256: string, span: ByteSpan): AsyncIterable<Uint8Array>;
}

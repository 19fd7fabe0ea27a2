import type { ByteRange } from "./byte-range.js";

/** A log as it was uploaded. */
export interface StoredLog {
  readonly bytes: number;
  readonly sha256: Buffer;
  readonly mediaType: string;
  readonly fileName: string;
  /** Whether anyone may have it, for it is of an accepted run. */
  readonly isPublic: boolean;
  /** Whether its bytes are compressed already. */
  isPacked(): Promise<boolean>;
  /** Its bytes in order, all of them or those of a range. */
  read(range?: ByteRange): AsyncIterable<Uint8Array>;
}

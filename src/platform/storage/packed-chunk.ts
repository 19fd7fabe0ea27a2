import { promisify } from "node:util";
import { constants, zstdCompress, zstdDecompress } from "node:zlib";

/** Every chunk but a log's last has so many bytes. */
export const CHUNK_BYTES = 1 << 18;
/** No chunk refers further back than it is long. */
const WINDOW_LOG = 18;
const MIN_BYTES_AT_ONCE = 64;

/** Logs up to this size are packed well; of larger ones, which take room for many, time counts more. */
const LARGE_BYTES = 1 << 20;
const ALWAYS = { [constants.ZSTD_c_windowLog]: WINDOW_LOG, [constants.ZSTD_c_checksumFlag]: 1 };
/** Larger tables than these find no more in a chunk. */
const TABLE_LOG = 15;
/** Level 1 makes fewer bytes of columns of digits than level 3, in less time. */
const FAST = { ...ALWAYS, [constants.ZSTD_c_compressionLevel]: 1 };
/** Digits repeat over four of them by chance and hardly further: which of such matches to take is worth weighing, to search for long ones is not. */
const WELL = {
  ...ALWAYS,
  [constants.ZSTD_c_compressionLevel]: 9,
  [constants.ZSTD_c_strategy]: constants.ZSTD_btopt,
  [constants.ZSTD_c_minMatch]: 4,
  [constants.ZSTD_c_searchLog]: 1,
  [constants.ZSTD_c_hashLog]: TABLE_LOG,
  [constants.ZSTD_c_chainLog]: TABLE_LOG,
  [constants.ZSTD_c_targetLength]: 32,
};

const compress = promisify(zstdCompress);
const decompress = promisify(zstdDecompress);

/** A chunk as its columns hold it: one of them. */
export interface StoredChunk {
  readonly bytes: Uint8Array<ArrayBuffer> | null;
  /** One frame of Zstandard (RFC 8878), with its checksum. */
  readonly packed: Uint8Array<ArrayBuffer> | null;
}

/**
 * A chunk as it is to be stored: packed where that makes fewer bytes of it, outside the thread that asks.
 *
 * @param logBytes size of its whole log
 */
export async function packChunk(bytes: Uint8Array<ArrayBuffer>, logBytes: number): Promise<StoredChunk> {
  if (bytes.length === 0) return { bytes, packed: null };
  const chunkSize = Math.max(bytes.length, MIN_BYTES_AT_ONCE);
  const params = logBytes > LARGE_BYTES ? FAST : WELL;
  const packed = await compress(bytes, { params, chunkSize, pledgedSrcSize: bytes.length });
  return packed.length < bytes.length ? { bytes: null, packed } : { bytes, packed: null };
}

/**
 * The bytes of a chunk as they were uploaded. What is stored is never trusted to say how many they are.
 *
 * @param length how many they are
 * @throws Error where they do not unpack to so many, or are not those that were packed
 */
export async function unpackChunk({ bytes, packed }: StoredChunk, length: number): Promise<Uint8Array> {
  if (!packed) return bytes ?? new Uint8Array();
  const options = {
    chunkSize: Math.max(length, MIN_BYTES_AT_ONCE),
    maxOutputLength: Math.max(length, 1),
    params: { [constants.ZSTD_d_windowLogMax]: WINDOW_LOG },
  };
  const unpacked = await decompress(packed, options);
  if (unpacked.length !== length) throw new RangeError(`${unpacked.length} bytes in place of ${length}`);
  return unpacked;
}

import { constants, zstdCompressSync, zstdDecompressSync } from "node:zlib";
import type { ByteReader, ByteWriter } from "./bytes.js";

/** Noise in few bits has nothing to look for in what came before: level 1 makes fewer bytes of it than level 3, in a third of the time. */
const LEVEL = { [constants.ZSTD_c_compressionLevel]: 1 };
const MIN_BYTES_AT_ONCE = 64;

/**
 * Writes bytes by their significance: all first bytes of the numbers, then all second ones, and so on. Each such plane is packed by itself
 * (Zstandard, RFC 8878), since the planes have nothing in common; one whose bytes are all alike is written as that byte.
 *
 * @param bytes `width` bytes a number
 */
export function writePlanes(to: ByteWriter, bytes: Uint8Array, width: number): void {
  const count = bytes.length / width;
  for (let place = 0; place < width; place++) {
    const plane = new Uint8Array(count);
    for (let i = 0; i < count; i++) plane[i] = bytes[i * width + place] as number;
    const packed = isUniform(plane) ? plane.subarray(0, 1) : smallest(plane);
    to.count(packed.length);
    to.block(packed);
  }
}

/** Reads what `writePlanes` wrote of `count` numbers. */
export function readPlanes(from: ByteReader, count: number, width: number): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(count * width);
  for (let place = 0; place < width; place++) {
    const packed = from.block(from.count());
    if (packed.length === 1) {
      for (let i = 0; i < count; i++) bytes[i * width + place] = packed[0] as number;
      continue;
    }
    const plane = packed.length === count ? packed : unpacked(packed, count);
    if (plane.length !== count) throw new RangeError("a plane has another number of samples");
    for (let i = 0; i < count; i++) bytes[i * width + place] = plane[i] as number;
  }
  return bytes;
}

function unpacked(packed: Uint8Array, count: number): Uint8Array {
  const chunkSize = Math.max(count, MIN_BYTES_AT_ONCE);
  return zstdDecompressSync(packed, { chunkSize, maxOutputLength: count });
}

/** Packed, where that makes fewer bytes of it. */
function smallest(plane: Uint8Array): Uint8Array {
  const chunkSize = Math.max(plane.length, MIN_BYTES_AT_ONCE);
  const packed = zstdCompressSync(plane, { params: LEVEL, chunkSize });
  return packed.length < plane.length ? packed : plane;
}

function isUniform(plane: Uint8Array): boolean {
  for (let i = 1; i < plane.length; i++) if (plane[i] !== plane[0]) return false;
  return true;
}

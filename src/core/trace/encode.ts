import { constants, zstdCompressSync, zstdDecompressSync } from "node:zlib";
import type { Trace } from "../model.js";

/** Name of the layout below. A change of it is a new name; old names stay readable. */
export const TRACE_ENCODING = "packledger-trace-1";

const CHANNELS = ["time", "voltage", "current", "temperature"] as const;
const SCALES = [1, 10, 100, 1e3, 1e4, 1e5, 1e6] as const;
const MAX_INTEGER = 0x7fffffff;
const HEADER_BYTES_FIELD = 4;

/** How one channel is written: as doubles, or as differences of integers n with value = n / scale + shift. */
interface ChannelHeader {
  readonly channel: (typeof CHANNELS)[number];
  readonly scale: number | null;
  readonly shift: number;
  readonly bytes: number;
}

/**
 * A trace as bytes, without loss: every double comes back to the last bit. A channel whose values stand on a decimal
 * grid (after a common shift, such as the subtracted zero) is written as differences of integers, else as doubles;
 * both with their bytes sorted by significance, so that like bytes stand together, and packed by Zstandard (RFC 8878).
 *
 * Layout: header length (uint32, little endian), header (JSON), then the packed channels.
 */
export function encodeTrace(trace: Trace): Buffer {
  const parts: Buffer[] = [];
  const headers: ChannelHeader[] = [];
  for (const channel of CHANNELS) {
    const values = trace[channel];
    if (!values) continue;
    const grid = findGrid(values);
    const plain = grid ? new Uint8Array(grid.differences.buffer) : new Uint8Array(Float64Array.from(values).buffer);
    const packed = zstdCompressSync(transposed(plain, grid ? 4 : 8), {
      params: { [constants.ZSTD_c_compressionLevel]: 3 },
    });
    parts.push(packed);
    headers.push({ channel, scale: grid?.scale ?? null, shift: grid?.shift ?? 0, bytes: packed.length });
  }
  const header = Buffer.from(JSON.stringify({ samples: trace.time.length, channels: headers }));
  const length = Buffer.alloc(HEADER_BYTES_FIELD);
  length.writeUInt32LE(header.length);
  return Buffer.concat([length, header, ...parts]);
}

/** The trace that `encodeTrace` wrote. */
export function decodeTrace(encoding: string, data: Uint8Array): Trace {
  if (encoding !== TRACE_ENCODING) throw new Error(`unknown trace encoding ${encoding}`);
  const bytes = Buffer.from(data.buffer, data.byteOffset, data.byteLength);
  const headerEnd = HEADER_BYTES_FIELD + bytes.readUInt32LE(0);
  const { channels } = JSON.parse(bytes.toString("utf8", HEADER_BYTES_FIELD, headerEnd)) as {
    channels: ChannelHeader[];
  };
  const found = new Map<string, Float64Array>();
  let at = headerEnd;
  for (const header of channels) {
    found.set(header.channel, decodeChannel(header, bytes.subarray(at, at + header.bytes)));
    at += header.bytes;
  }
  const channel = (name: string) => found.get(name) as Float64Array;
  return {
    time: channel("time"),
    voltage: channel("voltage"),
    current: channel("current"),
    temperature: found.get("temperature") ?? null,
  };
}

function decodeChannel({ scale, shift }: ChannelHeader, packed: Uint8Array): Float64Array {
  const width = scale === null ? 8 : 4;
  const plain = untransposed(zstdDecompressSync(packed), width);
  if (scale === null) return new Float64Array(plain.buffer);
  const differences = new Int32Array(plain.buffer);
  const values = new Float64Array(differences.length);
  let integer = 0;
  for (let i = 0; i < values.length; i++) {
    integer += differences[i] as number;
    values[i] = fromGrid(integer, scale, shift);
  }
  return values;
}

/** One expression for both directions, so that what is checked when writing is what is computed when reading. */
const fromGrid = (integer: number, scale: number, shift: number): number => integer / scale - shift;

/** The coarsest decimal grid on which all values stand exactly, if there is one that fits 32-bit integers. */
function findGrid(values: Float64Array): { scale: number; shift: number; differences: Int32Array } | null {
  for (const scale of SCALES) {
    // The shift of the whole channel (zero, onset) is what the first value lacks to the grid.
    const first = values[0] as number;
    for (const shift of [0, Math.round(first * scale) / scale - first]) {
      const differences = differencesOn(values, scale, shift);
      if (differences) return { scale, shift, differences };
    }
  }
  return null;
}

function differencesOn(values: Float64Array, scale: number, shift: number): Int32Array | null {
  const differences = new Int32Array(values.length);
  let before = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    const integer = Math.round((value + shift) * scale);
    const difference = integer - before;
    if (Math.abs(difference) > MAX_INTEGER || !Object.is(fromGrid(integer, scale, shift), value)) return null;
    differences[i] = difference;
    before = integer;
  }
  return differences;
}

/** All first bytes, then all second bytes, and so on. */
function transposed(bytes: Uint8Array, width: number): Uint8Array {
  const count = bytes.length / width;
  const sorted = new Uint8Array(bytes.length);
  for (let place = 0; place < width; place++) {
    for (let i = 0; i < count; i++) sorted[place * count + i] = bytes[i * width + place] as number;
  }
  return sorted;
}

function untransposed(sorted: Uint8Array, width: number): Uint8Array {
  const count = sorted.length / width;
  const bytes = new Uint8Array(sorted.length);
  for (let place = 0; place < width; place++) {
    for (let i = 0; i < count; i++) bytes[i * width + place] = sorted[place * count + i] as number;
  }
  return bytes;
}

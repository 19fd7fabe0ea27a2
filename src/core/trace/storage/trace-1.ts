import { zstdDecompressSync } from "node:zlib";
import type { Trace } from "../../model.js";

const HEADER_BYTES_FIELD = 4;

/** How one channel is written: as doubles, or as differences of integers n with value = n / scale - shift. */
interface ChannelHeader {
  readonly channel: "time" | "voltage" | "current" | "temperature";
  readonly scale: number | null;
  readonly shift: number;
  readonly bytes: number;
}

/**
 * The trace of a record that was written as `packledger-trace-1`: header length (uint32, little endian), header (JSON), then the channels, each
 * with its bytes sorted by significance and packed by Zstandard (RFC 8878). No trace is written so any more.
 */
export function decodeTrace1(data: Uint8Array): Trace {
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
    values[i] = integer / scale - shift;
  }
  return values;
}

function untransposed(sorted: Uint8Array, width: number): Uint8Array {
  const count = sorted.length / width;
  const bytes = new Uint8Array(sorted.length);
  for (let place = 0; place < width; place++) {
    for (let i = 0; i < count; i++) bytes[i * width + place] = sorted[place * count + i] as number;
  }
  return bytes;
}

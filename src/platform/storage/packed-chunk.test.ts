import { randomBytes } from "node:crypto";
import { constants, zstdCompressSync, zstdDecompressSync } from "node:zlib";
import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { CHUNK_BYTES, packChunk, unpackChunk } from "./packed-chunk.js";

/** A size that a chunk can have, with those at its ends more often. */
const size = fc.oneof(
  fc.constantFrom(1, 2, 63, 64, 65, CHUNK_BYTES - 1, CHUNK_BYTES),
  fc.integer({ min: 1, max: CHUNK_BYTES }),
);
/** Rows of digits, bytes that nothing foretells, or one byte again and again. */
const filled = fc.tuple(size, fc.constantFrom("rows", "noise", "same"), fc.nat()).map(([length, kind, seed]) => {
  const bytes = Buffer.alloc(length, kind === "same" ? seed : 0);
  let state = seed || 1;
  const next = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state >>> 8;
  };
  if (kind === "noise") for (let i = 0; i < length; i++) bytes[i] = next();
  if (kind === "rows") {
    let at = 0;
    for (let row = 0; at < length; row++) {
      at += bytes.write(`${(row / 20).toFixed(3)},${(16 + (next() % 100) / 1000).toFixed(3)},${next() % 90}\n`, at);
    }
  }
  return bytes;
});
const any = fc.oneof(
  filled,
  fc.uint8Array({ minLength: 1, maxLength: 300 }).map((some) => Buffer.from(some)),
);

const rows = Buffer.from(Array.from({ length: 900 }, (_, i) => `${i / 10},16.${i},80\n`).join(""));

describe("a chunk of a log", () => {
  it("comes back byte by byte, whatever its size, and never takes more room", async () => {
    await fc.assert(
      fc.asyncProperty(any, fc.constantFrom(1, 2 ** 30), async (bytes, logBytes) => {
        const stored = await packChunk(bytes, logBytes);
        expect([stored.bytes, stored.packed].filter((one) => one === null)).toHaveLength(1);
        if (stored.packed) expect(stored.packed.length).toBeLessThan(bytes.length);
        expect(bytes.equals(await unpackChunk(stored, bytes.length))).toBe(true);
      }),
      { numRuns: 150 },
    );
  });

  it("is packed when that makes fewer bytes of it, and stays as it is else", async () => {
    const packed = await packChunk(rows, rows.length);
    expect(packed.bytes).toBeNull();
    expect(packed.packed?.length).toBeLessThan(rows.length / 2);
    const noise = randomBytes(5_000);
    expect(await packChunk(noise, noise.length)).toEqual({ bytes: noise, packed: null });
  });

  // RFC 8878, 3.1.1: any decoder reads what was packed, and this one what any encoder packs; the magic number is that of section 3.1.1.
  it("is one frame of Zstandard with its checksum", async () => {
    const { packed } = await packChunk(rows, rows.length);
    expect(Buffer.from(packed ?? []).readUInt32LE(0)).toBe(0xfd2fb528);
    expect(Buffer.from(packed ?? []).readUInt8(4) & 0b100).toBe(0b100);
    expect(zstdDecompressSync(packed ?? Buffer.alloc(0))).toEqual(rows);
    expect(await unpackChunk({ bytes: null, packed: zstdCompressSync(rows) }, rows.length)).toEqual(rows);
  });

  it("is refused when any of its bytes is another one, or missing, or when it is of another size", async () => {
    const few = rows.subarray(0, 400);
    const packed = (await packChunk(few, few.length)).packed as Uint8Array<ArrayBuffer>;
    const given = async (damaged: Uint8Array<ArrayBuffer>, length = few.length) => {
      try {
        return few.equals(await unpackChunk({ bytes: null, packed: damaged }, length)) ? "the same" : "others";
      } catch {
        return "refused";
      }
    };
    // A few bits say nothing, as bit 4 of the frame's descriptor (RFC 8878, 3.1.1.1.1.3).
    const found = { "the same": 0, others: 0, refused: 0 };
    for (let bit = 0; bit < packed.length * 8; bit++) {
      const damaged = Uint8Array.from(packed);
      damaged[bit >> 3] = (damaged[bit >> 3] as number) ^ (1 << (bit & 7));
      found[await given(damaged)]++;
    }
    expect(found.others).toBe(0);
    expect(found.refused).toBeGreaterThan(packed.length * 8 * 0.95);
    for (let end = 0; end < packed.length; end++) expect(await given(packed.slice(0, end))).toBe("refused");
    for (const length of [0, 1, few.length - 1, few.length + 1]) expect(await given(packed, length)).toBe("refused");
  });

  it("never unpacks to more than it has, nor is room made for more", async () => {
    const params = { [constants.ZSTD_c_windowLog]: 18 };
    const huge = { bytes: null, packed: zstdCompressSync(Buffer.alloc(1 << 26), { params }) };
    await expect(unpackChunk(huge, CHUNK_BYTES)).rejects.toMatchObject({ code: "ERR_BUFFER_TOO_LARGE" });
    // A frame says how much a decoder keeps (RFC 8878, 3.1.1.1.2): here 128 MiB, for one raw block (3.1.1.2).
    const header = Buffer.from("28b52ffd" + "00" + "88", "hex");
    const block = Buffer.alloc(3);
    block.writeUIntLE(rows.length * 8 + 1, 0, 3);
    const wide = Buffer.concat([header, block, rows]);
    expect(zstdDecompressSync(wide)).toEqual(rows);
    await expect(unpackChunk({ bytes: null, packed: wide }, rows.length)).rejects.toMatchObject({
      code: "ZSTD_error_frameParameter_windowTooLarge",
    });
  });
});

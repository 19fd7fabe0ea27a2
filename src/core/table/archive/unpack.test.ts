import { gzipSync } from "node:zlib";
import { describe, expect, test } from "@jest/globals";
import { chunksOf } from "./chunks.js";
import { unpack } from "./unpack.js";

const MIB = 2 ** 20;
const TEXT = Buffer.from(Array.from({ length: 5000 }, (_, i) => `${i / 10},16.8,${(i * 7919) % 101}\n`).join(""));

async function unpacked(chunks: Iterable<Uint8Array>, limitBytes = 8 * MIB): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  for await (const part of unpack(chunks, limitBytes)) parts.push(part);
  return Buffer.concat(parts);
}

function* cut(bytes: Uint8Array, size: number): Generator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

describe("a log's bytes", () => {
  test.each([1, 2, 7, 4096, TEXT.length])("come through unpacked text in chunks of %d", async (size) => {
    expect((await unpacked(cut(TEXT, size))).equals(TEXT)).toBe(true);
  });

  test.each([1, 2, 7, 4096, MIB])("come out of gzip (RFC 1952) in chunks of %d", async (size) => {
    expect((await unpacked(cut(gzipSync(TEXT), size))).equals(TEXT)).toBe(true);
  });

  test("come out of gzip of several members one after the other (RFC 1952, 2.2)", async () => {
    const members = Buffer.concat([gzipSync(TEXT.subarray(0, 1000)), gzipSync(TEXT.subarray(1000))]);
    expect((await unpacked([members])).equals(TEXT)).toBe(true);
  });

  test("are none for an empty log", async () => expect((await unpacked([])).length).toBe(0));
});

describe("gzip that cannot be trusted is refused as damaged", () => {
  const packed = gzipSync(TEXT);
  test("when it was cut short", async () => {
    await expect(unpacked([packed.subarray(0, packed.length >> 1)])).rejects.toMatchObject({ code: "log-damaged" });
  });
  test("when its checksum does not hold", async () => {
    const broken = Buffer.from(packed);
    broken[broken.length - 6] = (broken[broken.length - 6] as number) ^ 0xff;
    await expect(unpacked([broken])).rejects.toMatchObject({ code: "log-damaged" });
  });
});

describe("a log past the limit is refused", () => {
  test("at one byte more, and read at the limit", async () => {
    expect((await unpacked([TEXT], TEXT.length)).length).toBe(TEXT.length);
    await expect(unpacked([TEXT], TEXT.length - 1)).rejects.toMatchObject({ code: "log-too-large" });
  });

  test("without unpacking or reading it all", async () => {
    const member = gzipSync(Buffer.alloc(8 * MIB));
    const bomb = Buffer.concat(Array.from({ length: 64 }, () => member));
    let taken = 0;
    function* counted() {
      for (const chunk of cut(bomb, 1024)) {
        taken += chunk.length;
        yield chunk;
      }
    }
    await expect(unpacked(counted(), MIB)).rejects.toMatchObject({ code: "log-too-large" });
    expect(taken).toBeLessThan(bomb.length / 4);
  });
});

test("a log in memory is cut into chunks that share its memory", () => {
  const log = new Uint8Array(2.5 * MIB);
  const chunks = [...chunksOf(log)];
  expect(chunks.map((chunk) => chunk.length)).toEqual([MIB, MIB, MIB / 2]);
  expect(chunks.every((chunk) => chunk.buffer === log.buffer)).toBe(true);
});

import { gzipSync } from "node:zlib";
import { describe, expect, test } from "@jest/globals";
import { gunzip as nodeGunzip } from "../../../core/table/archive/gunzip.js";
import { gunzip } from "./gunzip.js";

const TEXT = Buffer.from(Array.from({ length: 5000 }, (_, i) => `${i / 10},16.8,${(i * 7919) % 101}\n`).join(""));
const PACKED = gzipSync(TEXT);
const MEMBERS = Buffer.concat([gzipSync(TEXT.subarray(0, 1000)), gzipSync(TEXT.subarray(1000))]);

function* cut(bytes: Uint8Array, size: number): Generator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

/** The text that comes out, or the code of what is refused: compared as texts, which takes a thousandth of the time of bytes. */
async function unpacked(of: typeof gunzip, packed: Uint8Array, size: number): Promise<string> {
  const parts: Uint8Array[] = [];
  try {
    for await (const part of of(cut(packed, size))) parts.push(part);
  } catch (error) {
    return (error as { code: string }).code;
  }
  return Buffer.concat(parts).toString("latin1");
}

// Outside source: zlib as Node has it.
describe("a browser unpacks gzip as Node does", () => {
  const broken = Buffer.from(PACKED);
  broken[broken.length - 6] = (broken[broken.length - 6] as number) ^ 0xff;
  const files: [string, Buffer][] = [
    ["of one member", PACKED],
    ["of several members", MEMBERS],
    ["of nothing", gzipSync("")],
    ["with zeros behind it", Buffer.concat([PACKED, Buffer.alloc(100)])],
    ["with something else behind it", Buffer.concat([PACKED, Buffer.from("more")])],
    ["cut short", PACKED.subarray(0, PACKED.length >> 1)],
    ["cut before its checksum", PACKED.subarray(0, -8)],
    ["cut in its second member", MEMBERS.subarray(0, -20)],
    ["whose checksum does not hold", broken],
    ["larger than what is unpacked at a time", gzipSync(Buffer.alloc(5 * 2 ** 20 + 3, "0123456789"))],
    ["of exactly what is unpacked at a time", gzipSync(Buffer.alloc(2 ** 20, "0123456789"))],
  ];
  const sizes = [1, 7, 4096, 2 ** 20];

  test.each(files)("%s", async (_, packed) => {
    for (const size of sizes) {
      expect([size, await unpacked(gunzip, packed, size)]).toEqual([size, await unpacked(nodeGunzip, packed, size)]);
    }
  });

  test("and does so to the byte, and refuses what is damaged", async () => {
    expect(await unpacked(gunzip, MEMBERS, 4096)).toBe(TEXT.toString("latin1"));
    expect(await unpacked(gunzip, broken, 4096)).toBe("log-damaged");
  });
});

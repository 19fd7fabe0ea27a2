import { createHash, randomBytes } from "node:crypto";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { uploadCase } from "../../../../test/support/uploads.js";
import { CHUNK_BYTES } from "../../../platform/storage/packed-chunk.js";
import { LogsRepository } from "./logs.repository.js";

let app: TestApp;
let headers: { authorization: string };
let folder: string;
let logs: LogsRepository;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  folder = await mkdtemp(join(tmpdir(), "packledger-packed-"));
  logs = app.nest.get(LogsRepository);
});
afterAll(async () => {
  await app.close();
  await rm(folder, { recursive: true });
});

const digest = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest() as Buffer<ArrayBuffer>;

/** Rows of numbers that differ from those of every other log, cut to a length. */
function rowsOf(length: number): Buffer<ArrayBuffer> {
  const noise = randomBytes(Math.ceil(length / 12) + 1);
  const text = Array.from(noise, (byte, i) => `${(i / 20).toFixed(2)},16.${byte},${byte % 90}\n`).join("");
  return Buffer.from(text.padEnd(length, "0").slice(0, length));
}

async function store(bytes: Buffer<ArrayBuffer>): Promise<Buffer<ArrayBuffer>> {
  const path = join(folder, "log");
  await writeFile(path, bytes);
  const sha256 = digest(bytes);
  const log = { path, sha256, bytes: bytes.length, mediaType: "text/csv", fileName: "log.csv" };
  await app.database.$transaction((tx) => logs.store(tx, log));
  return sha256;
}

async function read(sha256: Buffer<ArrayBuffer>, range?: { start: number; end: number }): Promise<Buffer> {
  const found: Uint8Array[] = [];
  for await (const chunk of logs.read(sha256, range)) found.push(chunk);
  return Buffer.concat(found);
}

const formsOf = async (sha256: Buffer<ArrayBuffer>) =>
  (await app.database.logChunk.findMany({ where: { sha256 }, orderBy: { position: "asc" } })).map(({ packed }) =>
    packed ? "packed" : "as it is",
  );

const SIZES = [1, 100, CHUNK_BYTES - 1, CHUNK_BYTES, CHUNK_BYTES + 1, 2 * CHUNK_BYTES, 2 * CHUNK_BYTES + 77];

describe("a stored log", () => {
  it.each(SIZES.flatMap((size) => ["rows", "noise", "both"].map((kind) => [size, kind] as const)))(
    "of %i bytes of %s comes back whole and in every range",
    async (size, kind) => {
      const bytes = kind === "noise" ? randomBytes(size) : rowsOf(size);
      if (kind === "both") randomBytes(Math.min(size, CHUNK_BYTES)).copy(bytes);
      const sha256 = await store(bytes);
      expect(bytes.equals(await read(sha256))).toBe(true);
      expect(bytes.subarray(0, 4).equals(await logs.firstBytes(sha256, 4))).toBe(true);
      const ends = [0, 1, CHUNK_BYTES - 1, CHUNK_BYTES, CHUNK_BYTES + 1, 2 * CHUNK_BYTES, size - 1];
      for (const start of ends.filter((place) => place < size)) {
        for (const end of ends.filter((place) => place >= start && place < size)) {
          expect([start, end, bytes.subarray(start, end + 1).equals(await read(sha256, { start, end }))]).toEqual([
            start,
            end,
            true,
          ]);
        }
      }
      const noisy = Math.ceil(Math.min(size, CHUNK_BYTES) / CHUNK_BYTES);
      const forms = Array.from({ length: Math.ceil(size / CHUNK_BYTES) }, (_, i) =>
        size === 1 || kind === "noise" || (kind === "both" && i < noisy) ? "as it is" : "packed",
      );
      // A last chunk of a few bytes is not smaller as a frame.
      if (size % CHUNK_BYTES === 1) forms[forms.length - 1] = "as it is";
      expect(await formsOf(sha256)).toEqual(forms);
    },
  );

  it("that was compressed before is stored as it is", async () => {
    const bytes = gzipSync(rowsOf(60_000)) as Buffer<ArrayBuffer>;
    expect(await formsOf(await store(bytes))).toEqual(["as it is"]);
  });

  it("takes less room, and counts with the size that was uploaded", async () => {
    const before = await app.database.storedLogs.findUniqueOrThrow({ where: { id: 1 } });
    const bytes = rowsOf(3 * CHUNK_BYTES);
    const sha256 = await store(bytes);
    const after = await app.database.storedLogs.findUniqueOrThrow({ where: { id: 1 } });
    expect(after.bytes - before.bytes).toBe(BigInt(bytes.length));
    expect((await app.database.log.findUniqueOrThrow({ where: { sha256 } })).bytes).toBe(BigInt(bytes.length));
    const chunks = await app.database.logChunk.findMany({ where: { sha256 } });
    expect(chunks.reduce((sum, { packed }) => sum + (packed?.length ?? 0), 0)).toBeLessThan(bytes.length / 2);
  });

  it("of a program that did not pack is read as it was", async () => {
    const bytes = rowsOf(CHUNK_BYTES + 1_000);
    const sha256 = digest(bytes);
    await app.database.log.create({ data: { sha256, bytes: BigInt(bytes.length), mediaType: "text/csv" } });
    for (const position of [0, 1]) {
      const chunk = bytes.subarray(position * CHUNK_BYTES, (position + 1) * CHUNK_BYTES);
      await app.database
        .$executeRaw`INSERT INTO log_chunk (sha256, "position", bytes) VALUES (${sha256}, ${position}, ${chunk})`;
    }
    expect(bytes.equals(await read(sha256))).toBe(true);
    const across = { start: CHUNK_BYTES - 10, end: CHUNK_BYTES + 10 };
    expect(bytes.subarray(across.start, across.end + 1).equals(await read(sha256, across))).toBe(true);
  });

  it("that was damaged is refused, and nothing of it goes out", async () => {
    const { body } = await uploadCase(app, headers, "Damaged", "truth-4s-10hz");
    const id = body.id ?? body.runId;
    const { logSha256 } = await app.database.run.findUniqueOrThrow({ where: { id } });
    const url = `/v1/runs/${id}/log`;
    expect((await app.inject({ url, headers })).statusCode).toBe(200);
    await app.database.$transaction(async (tx) => {
      await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
      await tx.$executeRaw`
        UPDATE log_chunk SET packed = set_byte(packed, 900, get_byte(packed, 900) # 1) WHERE sha256 = ${logSha256}`;
    });
    const hash = Buffer.from(logSha256) as Buffer<ArrayBuffer>;
    await expect(read(hash)).rejects.toThrow(`chunk 0 of the log ${hash.toString("hex")} is damaged`);
    for (const range of [undefined, "bytes=0-9"]) {
      const answer = await app.inject({ url, headers: { ...headers, ...(range && { range }) } });
      expect([answer.statusCode, answer.json().type]).toEqual([500, "/problems/internal-error"]);
    }
  });
});

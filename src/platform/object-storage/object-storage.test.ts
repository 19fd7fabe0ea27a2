import { createHash, randomBytes } from "node:crypto";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import { type Asked, type ObjectServer, startObjectServer } from "../../../test/support/objects/object-server.js";
import { ObjectStorage } from "./object-storage.js";
import { NoSuchObject, ObjectStorageUnavailable } from "./unavailable.js";

const QUICK = { tries: 3, silenceMs: 200, pauseMs: 5 };
const patience = { reader: QUICK, writer: QUICK, probe: { ...QUICK, tries: 1 } };
const PART_BYTES = 1_000;

let server: ObjectServer;
let storage: ObjectStorage;
let folder: string;
let reported: string[];
const report = (what: string) => reported.push(what);
beforeAll(async () => {
  server = await startObjectServer({ pageSize: 3, prefix: "public/record/" });
  folder = await mkdtemp(join(tmpdir(), "packledger-objects-"));
});
beforeEach(() => {
  server.misbehave(null);
  server.objects.clear();
  reported = [];
  storage = new ObjectStorage(server.settings, { patience, partBytes: PART_BYTES, report });
});
afterAll(async () => {
  await server.close();
  await rm(folder, { recursive: true });
});

const stored = (key: string) => server.objects.get(`public/record/${key}`);
const digestOf = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest("hex");

async function fileOf(bytes: Buffer) {
  const path = join(folder, digestOf(bytes));
  await writeFile(path, bytes);
  return { path, file: { bytes: bytes.length, sha256: digestOf(bytes) } };
}

async function read(key: string, start: number, end: number): Promise<Buffer> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of storage.read(key, { start, end })) chunks.push(chunk);
  return Buffer.concat(chunks);
}

/** Lets some requests fail before one of the same method is answered. */
function failTimes(times: number, status: number): void {
  let left = times;
  server.misbehave(() => (left-- > 0 ? status : null));
}

/** What was asked while something was done. */
async function askedBy(work: () => Promise<unknown>): Promise<readonly Asked[]> {
  const before = server.asked.length;
  await work();
  return server.asked.slice(before);
}

async function refusal(work: Promise<unknown>): Promise<ObjectStorageUnavailable> {
  const error = await work.then(
    () => null,
    (thrown: unknown) => thrown,
  );
  expect(error).toBeInstanceOf(ObjectStorageUnavailable);
  return error as ObjectStorageUnavailable;
}

describe("object storage", () => {
  it("keeps texts and files below its prefix, and knows what it does not have", async () => {
    const bytes = randomBytes(PART_BYTES);
    const { path, file } = await fileOf(bytes);
    await storage.putFile("files/one", path, file);
    await storage.putText("snapshots/one.json", '{"umlaut":"ü"}');
    expect(stored("files/one")?.equals(bytes)).toBe(true);
    expect(await storage.text("snapshots/one.json")).toBe('{"umlaut":"ü"}');
    expect([await storage.size("files/one"), await storage.size("files/two")]).toEqual([PART_BYTES, null]);
    expect(await storage.text("snapshots/two.json")).toBeNull();
    await expect(read("files/two", 0, 9)).rejects.toBeInstanceOf(NoSuchObject);
    await storage.remove("files/one");
    await storage.remove("files/one");
    expect([...server.objects.keys()]).toEqual(["public/record/snapshots/one.json"]);
  });

  it("gives out any range of bytes", async () => {
    const bytes = randomBytes(200_000);
    server.objects.set("public/record/files/one", bytes);
    for (const [start, end] of [
      [0, 199_999],
      [0, 0],
      [65_535, 65_536],
      [199_999, 199_999],
      [1, 150_000],
    ] as const) {
      expect([start, (await read("files/one", start, end)).equals(bytes.subarray(start, end + 1))]).toEqual([
        start,
        true,
      ]);
    }
  });

  it("lists a folder whose names fill several pages, and no other folder's", async () => {
    const names = Array.from({ length: 8 }, (_, n) => `n${n}.json`);
    for (const name of [...names, "a&b<c>.json"])
      server.objects.set(`public/record/snapshots/${name}`, Buffer.from("x"));
    server.objects.set("public/record/files/other", Buffer.from("x"));
    server.objects.set("another/snapshots/other", Buffer.from("x"));
    const asked = await askedBy(async () => {
      expect((await storage.list("snapshots/")).sort()).toEqual(["a&b<c>.json", ...names]);
    });
    expect(asked.length).toBe(3);
    expect(await storage.list("nothing/")).toEqual([]);
  });

  it("puts what is larger than a part in parts, each tried again by itself, whole or not at all", async () => {
    const bytes = randomBytes(2 * PART_BYTES + 7);
    const { path, file } = await fileOf(bytes);
    let failed = 0;
    server.misbehave(({ query }) => (query.get("partNumber") === "2" && failed++ === 0 ? 503 : null));
    const asked = await askedBy(() => storage.putFile("files/large", path, file));
    expect(stored("files/large")?.equals(bytes)).toBe(true);
    expect(asked.filter(({ query }) => query.has("partNumber")).map(({ query }) => query.get("partNumber"))).toEqual([
      "1",
      "2",
      "2",
      "3",
    ]);
    server.misbehave(({ query }) => (query.get("partNumber") === "3" ? 503 : null));
    await refusal(storage.putFile("files/other", path, file));
    expect([stored("files/other"), server.uploads.size]).toEqual([undefined, 0]);
  });

  it("does not store what is not what was digested", async () => {
    const { path, file } = await fileOf(randomBytes(50));
    const { message } = await refusal(
      storage.putFile("files/one", path, { ...file, sha256: digestOf(randomBytes(1)) }),
    );
    expect([message, server.objects.size]).toEqual(["it answered 400 XAmzContentSHA256Mismatch", 0]);
  });
});

describe("object storage that misbehaves", () => {
  it.each([500, 502, 503, 504, 429, 408])("is asked again after %d, some times", async (status) => {
    failTimes(2, status);
    await storage.putText("one", "text");
    expect(String(stored("one"))).toBe("text");
    failTimes(3, status);
    const { isPassing } = await refusal(storage.text("one"));
    expect(isPassing).toBe(true);
  });

  it.each([400, 403, 301])("is not asked again after %d", async (status) => {
    server.misbehave(() => status);
    const asked = await askedBy(() => refusal(storage.putText("one", "text")));
    expect(asked.length).toBe(1);
  });

  it("that cuts connections is asked for the rest", async () => {
    const bytes = randomBytes(100_000);
    server.objects.set("public/record/files/one", bytes);
    let cuts = 0;
    server.misbehave(() => (cuts++ < 5 ? { cutAfter: 15_000 } : null));
    expect((await read("files/one", 100, 99_000)).equals(bytes.subarray(100, 99_001))).toBe(true);
    expect(cuts).toBe(6);
    server.misbehave(() => ({ cutAfter: 0 }));
    await refusal(read("files/one", 0, 9));
  });

  it("that answers with more than was asked for gives no more out", async () => {
    const bytes = randomBytes(50_000);
    server.objects.set("public/record/files/one", bytes);
    server.misbehave(() => "no ranges");
    expect((await read("files/one", 0, 9)).equals(bytes.subarray(0, 10))).toBe(true);
    expect((await refusal(read("files/one", 1, 9))).message).toBe("it answered with another range");
  });

  it("that cuts a list is asked for it again, and no list that ended early is believed", async () => {
    server.objects.set("public/record/snapshots/one", Buffer.from("x"));
    server.objects.set("public/record/snapshots/two", Buffer.from("[]"));
    let cuts = 0;
    server.misbehave(() => (cuts++ < 1 ? { cutAfter: 1 } : null));
    expect(await storage.text("snapshots/two")).toBe("[]");
    server.misbehave(() => "hang");
    await refusal(storage.list("snapshots/"));
  });

  it("that is silent is not waited for", async () => {
    server.objects.set("public/record/files/one", randomBytes(50));
    server.misbehave(() => "hang");
    const { path, file } = await fileOf(randomBytes(50));
    for (const work of [() => read("files/one", 0, 9), () => storage.putFile("files/two", path, file)]) {
      expect((await refusal(work())).message).toBe("it was silent for 200 ms");
    }
  });

  it("is named by the code of its refusal alone: no key, no signature, no address", async () => {
    const other = { ...server.settings, secretAccessKey: "another secret" };
    const { message } = await refusal(new ObjectStorage(other, { patience, report }).list("snapshots/"));
    expect(message).toBe("it answered 403 SignatureDoesNotMatch");
    const elsewhere = { ...server.settings, bucket: "elsewhere" };
    expect((await refusal(new ObjectStorage(elsewhere, { patience, report }).putText("one", "text"))).message).toBe(
      "it answered 404 NoSuchBucket",
    );
    const closed = await startObjectServer();
    await closed.close();
    expect((await refusal(new ObjectStorage(closed.settings, { patience, report }).text("one"))).isPassing).toBe(true);
  });

  it("can be used as far as it was last tried, and is tried again when somebody asks", async () => {
    expect(await storage.isUsable()).toBe(true);
    expect(await askedBy(() => storage.isUsable())).toEqual([]);
    server.misbehave(({ method }) => (method === "PUT" ? 403 : null));
    await refusal(storage.putText("one", "text"));
    await storage.list("snapshots/");
    // That it can be read says nothing of writing.
    expect(await storage.isUsable()).toBe(false);
    server.misbehave(null);
    expect([await storage.isUsable(), server.objects.size]).toEqual([true, 0]);
    server.misbehave(() => 503);
    await refusal(storage.text("one"));
    expect(await Promise.all([storage.isUsable(), storage.isUsable()])).toEqual([false, false]);
    server.misbehave(null);
    await storage.list("snapshots/");
    expect(await askedBy(() => storage.isUsable())).toEqual([]);
    // Told once for each time, however often it is tried.
    expect(reported).toEqual([
      "the object storage cannot be used for writing: it answered 403 AccessDenied",
      "the object storage can be used again",
      "the object storage cannot be used for reading: it answered 503 InternalError",
      "the object storage can be used again",
    ]);
  });
});

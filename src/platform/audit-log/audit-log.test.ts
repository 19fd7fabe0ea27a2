import { createHash } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import canonicalize from "canonicalize";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { Database } from "../database/database.js";
import { AuditLog } from "./audit-log.js";
import { verifyChain } from "./verify.js";

let clone: TestDatabase;
let database: Database;
let auditLog: AuditLog;
beforeAll(async () => {
  clone = await cloneDatabase();
  database = new Database(clone.connectionString, 8);
  auditLog = new AuditLog(database);
});
afterAll(async () => {
  await database.onApplicationShutdown();
  await clone.drop();
});

const actorId = "01a2122e-e1a4-753d-899e-c914096834c6";
const record = (id: string, reason: string | null = null) =>
  auditLog.transaction(async (tx) => {
    auditLog.record(tx, { actorId, event: "accept", subject: { kind: "run", id }, rules: ["b", "a"], reason });
  });

/** As somebody would who may do everything to the database. */
async function tamper(statement: string): Promise<void> {
  await database.$transaction(async (tx) => {
    await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
    await tx.$executeRawUnsafe(statement);
  });
}

it("makes canonical JSON as the RFC shows it", () => {
  // RFC 8785 (JSON Canonicalization Scheme), 3.2.2: the numbers of its example.
  const numbers = "[333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001]";
  expect(canonicalize(JSON.parse(numbers))).toBe("[333333333.3333333,1e+30,4.5,0.002,1e-27]");
  // 3.2.3: names are sorted by their UTF-16 code units, in which U+1F600 comes before U+FB33.
  expect(canonicalize({ "\ufb33": 1, "\ud83d\ude00": 2, "\r": 3 })).toBe('{"\\r":3,"\ud83d\ude00":2,"\ufb33":1}');
});

describe("the audit log", () => {
  it("is one chain though many add to it at once", async () => {
    await Promise.all(Array.from({ length: 40 }, (_, index) => record(`run-${index}`)));
    expect(await verifyChain(database)).toMatchObject({ entries: 40, broken: null });
  });

  it("has hashes that anyone can compute from what is stored", async () => {
    const rows = await database.auditEntry.findMany({ orderBy: { position: "asc" }, take: 2 });
    const [first, second] = rows as [(typeof rows)[0], (typeof rows)[0]];
    expect(Buffer.from(first.previousHash).toString("hex")).toBe("0".repeat(64));
    const text = `{"actor":"${actorId}","at":"${second.at.toISOString()}","event":"accept","from":null,"position":2,"previous":"${Buffer.from(first.hash).toString("hex")}","reasonDigest":null,"rules":["b","a"],"subject":{"id":"${second.subjectId}","kind":"run"},"to":null}`;
    expect(createHash("sha256").update(text).digest("hex")).toBe(Buffer.from(second.hash).toString("hex"));
  });

  it.each(['","position":0,"previous":"', "\\ \n \u2028 \ud83d\ude00 \u00e9 \ufb33", "{}[],:"])(
    "chains several entries of one transaction whose texts hold %j",
    async (text) => {
      const { entries } = await verifyChain(database);
      await auditLog.transaction(async (tx) => {
        for (const [from, to] of [[null, text] as const, [text, null] as const]) {
          const subject = { kind: "run", id: text } as const;
          auditLog.record(tx, { actorId: null, event: "accept", subject, from, to, rules: [text], reason: text });
        }
      });
      expect(await verifyChain(database)).toMatchObject({ entries: entries + 2, broken: null });
      const [first, second] = await auditLog.entriesFor("run", text);
      expect([first?.to, second?.from, first?.reason?.text, first?.rules]).toEqual([text, text, text, [text]]);
      expect(Math.abs(Date.now() - Date.parse(second?.at ?? ""))).toBeLessThan(60_000);
    },
  );

  it("keeps nothing of a transaction that failed", async () => {
    const { entries } = await verifyChain(database);
    const failed = auditLog.transaction(async (tx) => {
      auditLog.record(tx, { actorId, event: "accept", subject: { kind: "run", id: "never" } });
      throw new Error("on purpose");
    });
    await expect(failed).rejects.toThrow("on purpose");
    expect((await verifyChain(database)).entries).toBe(entries);
  });

  it("records only in its own transactions", async () => {
    const outside = database.$transaction(async (tx) => {
      auditLog.record(tx, { actorId, event: "accept", subject: { kind: "run", id: "never" } });
    });
    await expect(outside).rejects.toThrow("in a transaction of the audit log");
  });

  it("stays valid when reasons are erased, and shows when one was changed", async () => {
    await record("worded", "Looked at twice.");
    const [entry] = await auditLog.entriesFor("run", "worded");
    expect(entry?.reason?.text).toBe("Looked at twice.");
    await tamper(`UPDATE audit_reason SET text = 'Never looked at.' WHERE position = ${entry?.position}`);
    expect((await verifyChain(database)).broken).toEqual({
      position: entry?.position,
      why: "its reason was changed",
    });
    await auditLog.transaction((tx) => auditLog.eraseReasonsOf(tx, actorId));
    expect(await verifyChain(database)).toMatchObject({ broken: null });
    expect((await auditLog.entriesFor("run", "worded"))[0]).toMatchObject({
      reason: null,
      reasonDigest: entry?.reasonDigest,
    });
  });

  it.each([
    ["UPDATE audit_log SET event = 'reject' WHERE position = 7"],
    ["DELETE FROM audit_log WHERE position = 7"],
    ["TRUNCATE audit_log CASCADE"],
    ["UPDATE audit_reason SET text = 'other'"],
    [
      "INSERT INTO audit_log SELECT position + 5, at, actor_id, event, subject_kind, subject_id, from_state, to_state, rules, reason_digest, hash, sha256('x') FROM audit_log ORDER BY position DESC LIMIT 1",
    ],
    [
      "INSERT INTO audit_log SELECT position + 1, at, actor_id, event, subject_kind, subject_id, from_state, to_state, rules, reason_digest, sha256('y'), sha256('x') FROM audit_log ORDER BY position DESC LIMIT 1",
    ],
  ])("refuses in the database: %s", async (statement) => {
    await expect(database.$executeRawUnsafe(statement)).rejects.toThrow(
      /never changed or removed|follows the last one/,
    );
  });

  it.each([
    ["a changed entry", "UPDATE audit_log SET event = 'reject' WHERE position = 7", 7, "it was changed"],
    ["an entry that is gone", "DELETE FROM audit_log WHERE position = 5", 5, "it is missing; the next one is 6"],
  ])("says where it is broken first: %s", async (_, statement, position, why) => {
    await tamper(statement);
    expect((await verifyChain(database)).broken).toEqual({ position, why });
  });

  it("shows by a noted hash that its end was cut off", async () => {
    const other = await cloneDatabase();
    const cut = new Database(other.connectionString, 2);
    try {
      const log = new AuditLog(cut);
      for (const id of ["one", "two", "three"]) {
        await log.transaction(async (tx) => {
          log.record(tx, { actorId: null, event: "accept", subject: { kind: "run", id } });
        });
      }
      const { lastHash } = await verifyChain(cut);
      expect(await verifyChain(cut, lastHash)).toMatchObject({ entries: 3, containsHash: true });
      await cut.$transaction(async (tx) => {
        await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
        await tx.$executeRawUnsafe("DELETE FROM audit_log WHERE position = 3");
      });
      expect(await verifyChain(cut, lastHash)).toMatchObject({ entries: 2, broken: null, containsHash: false });
    } finally {
      await cut.onApplicationShutdown();
      await other.drop();
    }
  });
});

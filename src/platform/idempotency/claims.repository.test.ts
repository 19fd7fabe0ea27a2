import { randomBytes, randomUUID } from "node:crypto";
import { setTimeout as sleep } from "node:timers/promises";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import type { FastifyReply, FastifyRequest } from "fastify";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { Database } from "../database/database.js";
import { type Claim, ClaimsRepository } from "./claims.repository.js";
import { Idempotency } from "./idempotency.js";

let clone: TestDatabase;
let database: Database;
let claims: ClaimsRepository;
beforeAll(async () => {
  clone = await cloneDatabase();
  database = new Database(clone.connectionString, 4);
  claims = new ClaimsRepository(database);
});
afterAll(async () => {
  await database.onApplicationShutdown();
  await clone.drop();
});

const bytes = (size: number) => Buffer.from(randomBytes(size)) as Claim["id"];
const answer = { status: 201, headers: { location: "/v1/packs/1" }, body: "{}" };

let dead: Claim;
let retry: Claim;
beforeEach(async () => {
  dead = { id: bytes(32), accountId: null, fingerprint: bytes(32), claim: randomUUID() };
  retry = { ...dead, claim: randomUUID() };
  expect(await claims.take(dead)).toBeNull();
});

const inThePast = new Date(Date.now() - 1000);
const lapse = () => database.idempotencyKey.update({ where: { id: dead.id }, data: { claimedUntil: inThePast } });

describe("a key whose process was killed at work", () => {
  it("blocks others until its claim lapses, and is then taken over", async () => {
    expect(await claims.take(retry)).toMatchObject({ answer: null });
    await lapse();
    expect(await claims.take(retry)).toBeNull();
  });

  it("lapses within a minute", async () => {
    const { claimedUntil } = await database.idempotencyKey.findUniqueOrThrow({ where: { id: dead.id } });
    expect(claimedUntil.getTime() - Date.now()).toBeLessThan(60_000);
  });

  it("is not taken over for another payload", async () => {
    await lapse();
    expect(await claims.take({ ...retry, fingerprint: bytes(32) })).toMatchObject({ answer: null });
  });

  it("is taken over by one of many", async () => {
    await lapse();
    const taken = await Promise.all(Array.from({ length: 8 }, () => claims.take({ ...dead, claim: randomUUID() })));
    expect(taken.filter((other) => other === null)).toHaveLength(1);
  });

  it("is not answered by the process that was held dead, when it comes back", async () => {
    await lapse();
    await claims.take(retry);
    await claims.keep(dead, { ...answer, status: 202 });
    await claims.release(dead);
    expect(await claims.take({ ...dead, claim: randomUUID() })).toMatchObject({ answer: null });
    await claims.keep(retry, answer);
    expect(await claims.take(dead)).toMatchObject({ answer });
  });
});

it("an answer is kept for 24 hours, and is removed after that", async () => {
  await claims.keep(dead, answer);
  const { expiresAt } = await database.idempotencyKey.findUniqueOrThrow({ where: { id: dead.id } });
  expect((expiresAt.getTime() - Date.now()) / 3_600_000).toBeCloseTo(24, 1);
  await database.idempotencyKey.update({ where: { id: dead.id }, data: { expiresAt: inThePast } });
  expect(await claims.take({ ...retry, id: bytes(32) })).toBeNull();
  expect(await database.idempotencyKey.findUnique({ where: { id: dead.id } })).toBeNull();
});

it("a key that has expired can be used for another payload", async () => {
  await claims.keep(dead, answer);
  await database.idempotencyKey.update({ where: { id: dead.id }, data: { expiresAt: inThePast } });
  expect(await claims.take({ ...retry, fingerprint: bytes(32) })).toBeNull();
});

it("long work renews its claim", async () => {
  const request = { method: "POST", url: "/v1/packs", headers: { "idempotency-key": '"long"' }, id: "request" };
  const reply = { statusCode: 201, getHeader: () => undefined };
  const working = () => database.idempotencyKey.findFirst({ where: { status: null, id: { notIn: [dead.id] } } });
  await database.idempotencyKey.deleteMany({ where: { id: { not: dead.id } } });
  const renewed = async () => {
    const first = await working();
    for (;;) {
      await sleep(250);
      const now = await working();
      if (first && now && now.claimedUntil > first.claimedUntil) return { renewed: true };
    }
  };
  const idempotency = new Idempotency(claims);
  const result = idempotency.once(request as never as FastifyRequest, reply as never as FastifyReply, "", renewed);
  await expect(result).resolves.toEqual({ renewed: true });
});

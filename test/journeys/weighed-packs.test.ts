import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let mona: Headers;
let people: Readonly<Record<"anna" | "bert" | "carl", Headers>>;
/** Runs of one pack, which Anna registered with 545 g. */
const runs = new Map<string, { readonly runId: string; readonly specimenId: string; readonly packId: string }>();
beforeAll(async () => {
  app = await startTestApp();
  mona = await app.signIn("mona", "moderator");
  people = { anna: await app.signIn("anna"), bert: await app.signIn("bert"), carl: await app.signIn("carl") };
  for (const [name, log] of LOGS) {
    const { body } = await uploadCase(app, people[name], "Heron", log);
    runs.set(name, { runId: body.id, specimenId: body.specimen.id, packId: body.pack.id });
  }
});
afterAll(() => app.close());

const LOGS = [
  ["anna", "plain-20hz"],
  ["bert", "truth-4s-10hz"],
  ["carl", "jitter-25hz"],
] as const;

const of = (name: string) => runs.get(name) as { runId: string; specimenId: string; packId: string };
const packUrl = () => `/v1/packs/${of("anna").packId}`;
const massGrams = async () => (await app.inject(packUrl())).json<{ massGrams: number }>().massGrams;

async function send(method: "PATCH" | "POST" | "DELETE", url: string, headers: Headers, payload?: object) {
  const { statusCode, body } = await app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
  await done();
  return [statusCode, body] as const;
}
const weigh = (name: keyof typeof people, grams: number) =>
  send("PATCH", `/v1/specimens/${of(name).specimenId}`, people[name], { massGrams: grams });

/** Waits until nothing is left to be done at once. */
async function done() {
  const jobs = () => app.database.$queryRaw<object[]>`
    SELECT FROM graphile_worker.jobs WHERE run_at <= now() + interval '5 minutes'`;
  while ((await jobs()).length > 0) await delay(20);
}

async function energyOf(name: string) {
  const { figures } = (await app.inject({ url: `/v1/runs/${of(name).runId}`, headers: mona })).json<{
    figures: { key: string; basis: string; value: number }[];
  }>();
  const value = (key: string) => figures.find((one) => one.key === key && one.basis !== "translated")?.value;
  return { whole: value("energy") as number, perKilogram: value("specific-energy") as number };
}

describe("the mass of a pack", () => {
  it("stays as it is registered while fewer reference testers than the policy asks for have weighed it", async () => {
    for (const name of ["bert", "carl"]) {
      expect((await send("POST", `/v1/testers/${name}/vouch`, mona, { note: "Known bench." }))[0]).toBe(200);
    }
    expect((await weigh("carl", 564))[0]).toBe(200);
    for (const [name] of LOGS) {
      await send("POST", `/v1/runs/${of(name).runId}/reviews`, mona, { decision: "accept", rules: [], note: "Fine." });
    }
    expect((await weigh("anna", 272))[0]).toBe(200);
    expect(await massGrams()).toBe(545);
  });

  it("becomes the median of theirs, and figures per mass follow", async () => {
    const before = await energyOf("anna");
    expect((await weigh("bert", 560))[0]).toBe(200);
    expect(await massGrams()).toBe(562);
    const after = await energyOf("anna");
    expect(after.whole).toBeCloseTo(before.whole, 9);
    expect(after.perKilogram).toBeCloseTo((before.perKilogram * 545) / 562, 9);
    const where = { subjectId: of("anna").packId, event: "weigh" };
    const entries = await app.database.auditEntry.findMany({ where, include: { reason: true } });
    expect(
      entries.map(({ actorId, fromState, toState, reason }) => [actorId, fromState, toState, reason?.text]),
    ).toEqual([[null, '{"massGrams":545}', '{"massGrams":562}', "The median of what 2 reference testers weighed."]]);
  });

  it("is no other for another scale, nor for what a moderator says against it", async () => {
    expect((await weigh("bert", 561))[0]).toBe(200);
    expect(await massGrams()).toBe(562);
    const [status, body] = await send("PATCH", packUrl(), mona, { massGrams: 272 });
    expect([status, JSON.parse(body)]).toMatchObject([409, { code: "decision-not-possible" }]);
    expect((await send("PATCH", packUrl(), mona, { massGrams: 563, reason: "With its strap." }))[0]).toBe(200);
    expect(await massGrams()).toBe(563);
  });

  it("follows a tester who is a reference no more, and one who becomes it", async () => {
    expect((await send("DELETE", "/v1/testers/carl/vouch", mona))[0]).toBeLessThan(300);
    expect((await send("PATCH", packUrl(), mona, { massGrams: 500 }))[0]).toBe(200);
    expect(await massGrams()).toBe(500);
    expect((await send("POST", "/v1/testers/carl/vouch", mona, { note: "Known again." }))[0]).toBe(200);
    expect(await massGrams()).toBe(562.5);
  });
});

import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { STORED_LOAD, StoredRuns } from "../../../test/support/stored-runs.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { StandingsService } from "../rankings/standings.service.js";

let app: TestApp;
let runs: StoredRuns;
let moderator: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  runs = new StoredRuns(app);
  moderator = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const vouch = (handle: string) =>
  app.inject({
    method: "POST",
    url: `/v1/testers/${handle}/vouch`,
    payload: { note: "Known bench." },
    headers: moderator,
  });
const page = async (handle: string) => (await app.inject({ url: `/v1/testers/${handle}` })).json();
const standingOf = async (name: string) =>
  app.database.standing.findFirst({ where: { packId: await runs.pack(name), figure: "power-10s", load: STORED_LOAD } });

describe("testers with a record", () => {
  it("make standings established that others are shown beside", async () => {
    for (const handle of ["ann", "ben", "cem", "dov"]) await runs.add(handle, "First");
    await runs.settled();
    expect(await standingOf("First")).toMatchObject({ established: false, testers: 4 });
    for (const handle of ["ann", "ben", "cem"])
      expect((await vouch(handle)).json()).toMatchObject({ status: "vouched" });
    await runs.settled();
    expect(await standingOf("First")).toMatchObject({
      established: true,
      testers: 3,
      testersBeside: 1,
      disputed: false,
    });
  });

  it("are established by three packs that three reference testers have measured too, and no longer when they disagree", async () => {
    for (const name of ["Second", "Third"]) for (const handle of ["ann", "ben", "cem"]) await runs.add(handle, name);
    await runs.add("dov", "Second", { power: 1.004 });
    await runs.settled();
    expect(await page("dov")).toMatchObject({
      status: "new",
      record: expect.arrayContaining([{ quantity: "power", packs: 2, partners: 3, gaps: ["packs"] }]),
    });
    const last = await runs.add("dov", "Third", { power: 0.998 });
    await runs.settled();
    expect(await page("dov")).toMatchObject({ status: "established", establishedSince: expect.any(String) });
    expect(await standingOf("First")).toMatchObject({ testers: 4, testersBeside: 0 });
    await runs.reject(last);
    await runs.settled();
    expect(await page("dov")).toMatchObject({ status: "new", establishedSince: null });
    expect(await standingOf("First")).toMatchObject({ testers: 3, testersBeside: 1 });
  });

  it("keep what they withdrew when they had seen it, and it is published", async () => {
    const first = await runs.add("eva", "First", { power: 0.96 });
    await runs.add("eva", "First", { power: 1.02 });
    await runs.withdraw(first);
    await runs.settled();
    const result = await app.database.testerResult.findFirst({
      where: { testerId: await runs.tester("eva"), figure: "power-10s" },
    });
    expect(result).toMatchObject({ runs: 1, withdrawnRuns: 1, value: expect.closeTo(1400 * 0.99, 6) });
    expect(await page("eva")).toMatchObject({ withdrawals: [{ withdrawnFrom: "accepted", excused: false }] });
  });

  it("who read far off are held, and no number of newcomers moves the value", async () => {
    const before = await standingOf("First");
    for (const handle of ["pia", "pol", "per"]) {
      for (const name of ["Second", "Third", "Fourth"]) await runs.add(handle, name);
    }
    for (const handle of ["ann", "ben", "cem"]) await runs.add(handle, "Fourth");
    await runs.settled();
    for (const handle of ["pia", "pol", "per"]) await runs.add(handle, "First", { power: 1.08 });
    await runs.settled();
    expect(await page("pia")).toMatchObject({ status: "new" });
    expect(await standingOf("First")).toMatchObject({ value: before?.value, established: true });
  });

  it("see their own calibration, and nobody else does", async () => {
    const headers = await app.signIn("gil");
    const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "gil" } });
    const bench = await app.database.bench.findFirstOrThrow({ where: { ownerId: await runs.tester("ann") } });
    const { id: _, createdAt: __, ...facts } = bench;
    const { id: benchId } = await app.database.bench.create({ data: { ...facts, ownerId: id } });
    runs.adopt("gil", id, benchId);
    for (const name of ["First", "Second", "Third"]) await runs.add("gil", name, { power: 1.014 });
    await runs.settled();
    const answer = await app.inject({ url: "/v1/accounts/me/calibration", headers });
    const power = answer.json<{ items: { quantity: string; biasPercent: number; packs: number; summary: string }[] }>()
      .items[0];
    expect(power).toMatchObject({
      quantity: "power",
      packs: 3,
      summary: expect.stringMatching(/^Your power reads \d\.\d \+- \d\.\d % high against 3 packs/),
    });
    expect((await app.inject({ url: "/v1/accounts/me/calibration" })).statusCode).toBe(401);
  });

  it("are vouched for by moderators alone, never by themselves", async () => {
    const self = await app.inject({
      method: "POST",
      url: "/v1/testers/mona/vouch",
      payload: { note: "Me." },
      headers: moderator,
    });
    expect([self.statusCode, self.json().code]).toEqual([403, "role-required"]);
    const revoked = await app.inject({ method: "DELETE", url: "/v1/testers/cem/vouch", headers: moderator });
    expect(revoked.statusCode).toBe(204);
    await runs.settled();
    expect(await standingOf("Second")).toMatchObject({ established: false });
    await vouch("cem");
    const entries = await app.database.auditEntry.findMany({
      where: { subjectKind: "tester", subjectId: await runs.tester("cem") },
    });
    expect(entries.map(({ event, toState }) => [event, toState])).toEqual([
      ["vouch", "vouched"],
      ["revoke-vouch", "new"],
      ["vouch", "vouched"],
    ]);
  });
});

/** Everything that a history can do, to one of five testers and one of four packs. */
const step = fc.record({
  what: fc.constantFrom("add", "add", "add", "withdraw", "reject", "accept", "vouch", "revoke"),
  tester: fc.integer({ min: 0, max: 5 }),
  pack: fc.integer({ min: 0, max: 3 }),
  power: fc.double({ min: 0.985, max: 1.015, noNaN: true }),
});

describe("standings and records", () => {
  it("are after any history what a full computation makes of the record", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(step, { minLength: 12, maxLength: 30 }),
        fc.integer({ min: 1, max: 1e9 }),
        async (steps, seed) => {
          const own: string[] = [];
          const gone = new Set<string>();
          for (const [i, { what, tester, pack, power }] of steps.entries()) {
            const handle = `h${seed}t${tester}`;
            const target = own[i % Math.max(1, own.length)];
            await runs.tester(handle);
            if (what === "add" || (target === undefined && what !== "vouch" && what !== "revoke"))
              own.push(await runs.add(handle, `h${seed}p${pack}`, { power }));
            else if (what === "vouch") await vouch(handle);
            else if (what === "revoke")
              await app.inject({ method: "DELETE", url: `/v1/testers/${handle}/vouch`, headers: moderator });
            else if (target && !gone.has(target)) {
              if (what === "withdraw") gone.add(target);
              await runs[what as "withdraw" | "reject" | "accept"](target);
            }
            // Now and then everything that follows is done before the next step, else not.
            if (i % 5 === 0) await runs.settled();
          }
          await runs.settled();
          const active = await app.nest.get(ActiveVersionService).find("full-load");
          if (!active) throw new Error("full-load has no active version");
          const full = await app.database.$transaction((tx) => app.nest.get(StandingsService).computeAll(tx, active));
          const stored = await app.database.standing.findMany({ where: { protocolKey: "full-load" } });
          const shown = (one: { packId: string; figure: string; load: number }) =>
            `${one.packId} ${one.figure} ${one.load}`;
          const plain = (some: readonly object[]) =>
            some
              .map((one) => ({ ...one, updatedAt: null }))
              .sort((a, b) => (shown(a as never) < shown(b as never) ? -1 : 1));
          expect(plain(stored)).toEqual(plain(full.standings));
        },
      ),
      { numRuns: 6 },
    );
  });
});

import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { parse } from "csv-parse/sync";
import type { PackStandingView } from "../../src/features/rankings/pack-standing.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { StoredRuns } from "../support/stored-runs.js";

let app: TestApp;
let runs: StoredRuns;
let anna: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  runs = new StoredRuns(app);
  const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "anna" } });
  const bench = { label: "bench", loadKind: "throttle", voltagePercent: 0.1, voltageOffset: 0.005, sensePoint: "pack" };
  const made = await app.database.bench.create({
    data: { ownerId: id, currentPercent: 0.5, currentOffset: 0.1, ...bench },
  });
  runs.adopt("anna", id, made.id);
});
afterAll(() => app.close());

/** A conforming run of anna's that she withdraws before anybody decides on it. */
async function invent(pack: string, power: number): Promise<string> {
  const id = await runs.addUndecided("anna", pack, { reading: { power } });
  expect((await app.inject({ method: "DELETE", url: `/v1/runs/${id}`, headers: anna })).statusCode).toBe(204);
  return id;
}

const address = async (pack: string, form = "") => `/v1/rankings/power-10s/packs/${await runs.pack(pack)}${form}`;
async function resultOf(pack: string) {
  const { agreement, value } = (await app.inject({ url: await address(pack) })).json<PackStandingView>();
  return { value, own: agreement.testers[0] };
}

/** s_R of a power over its value, at least (docs/records.md). */
const RELATIVE_SD = 0.0095;

describe("a tester with one accepted run who uploads invented ones and withdraws each at once", () => {
  it("moves the own result no further than twice what chance would", async () => {
    await runs.add("anna", "Kestrel");
    const before = (await resultOf("Kestrel")).own;
    const invented = [await invent("Kestrel", 1.5), await invent("Kestrel", 1.5), await invent("Kestrel", 1.5)];
    const { own, value } = await resultOf("Kestrel");
    expect(own?.withdrawnRunIds.toSorted()).toEqual(invented.toSorted());
    const bound = 2 * RELATIVE_SD * Math.sqrt(3 / 4);
    expect((own?.value ?? 0) / (before?.value ?? 0)).toBeCloseTo(1 + bound, 9);
    expect(value).toBeCloseTo(own?.value ?? 0, 9);
    // What they would have moved it by beyond that makes it uncertain, so that it weighs less: 3/4 of 50 %, less the bound.
    const excess = (0.375 - bound) * (before?.value ?? 0);
    expect(own?.undecidedExcess).toBeCloseTo(excess, 6);
    expect(own?.uncertainty).toBeGreaterThan(excess / Math.sqrt(3));
    expect(before?.undecidedExcess).toBe(0);
  });

  it("is shown to have been held back, in every form", async () => {
    const [row]: Record<string, string>[] = parse((await app.inject({ url: await address("Kestrel", ".csv") })).body, {
      columns: true,
    });
    expect(Number(row?.["undecided excess"])).toBeGreaterThan(0.3 * 1400);
    for (const form of ["md", "svg"]) {
      expect((await app.inject({ url: await address("Kestrel", `.${form}`) })).body).toContain("held at their bound");
    }
  });

  it("has the low ones in the mean all the same, where an honest tester keeps the best of several", async () => {
    await runs.add("anna", "Hobby", { power: 1.008 });
    for (const power of [0.996, 0.999]) await invent("Hobby", power);
    const { own } = await resultOf("Hobby");
    expect(own?.value).toBeCloseTo(((1.008 + 0.996 + 0.999) / 3) * 1400, 6);
    expect(own?.undecidedExcess).toBe(0);
  });
});

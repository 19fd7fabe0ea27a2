import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { PACKS, RUNS } from "../../seed/scenario.js";
import { StandingsService } from "../../src/features/rankings/standings.service.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadDemoRun } from "../support/demo-run.js";
import { until } from "../support/webhook-receiver.js";

type Headers = { authorization: string };
type PackKey = "breakwater" | "gravel" | "slipway";

let app: TestApp;
let mona: Headers;
let ruth: Headers;
/** Three vouched testers' accepted runs of each pack: what each has, by pack and tester. */
const specimens = new Map<
  string,
  { readonly specimenId: string; readonly headers: Headers; readonly packId: string }
>();
const packIds = new Map<PackKey, string>();
beforeAll(async () => {
  app = await startTestApp();
  mona = await app.signIn("mona", "moderator");
  ruth = await app.signIn("ruth");
  await measured("breakwater", 0.8257);
  await measured("gravel");
  await measured("slipway");
}, 300_000);
afterAll(() => app.close());

async function ask(
  method: "POST" | "PATCH" | "GET" | "DELETE",
  url: string,
  headers: Headers | null,
  payload?: object,
) {
  const answer = await app.inject({ method, url, ...(headers ? { headers } : {}), ...(payload ? { payload } : {}) });
  if (answer.statusCode >= 300) throw new Error(`${method} ${url}: ${answer.body}`);
  return answer;
}

/** Registers a pack of the demo at a share of its mass, confirms it, and has three vouched testers measure it. */
async function measured(key: PackKey, massShare = 1): Promise<void> {
  const { trueCapacityShare: _, resistanceMilliohmAh: __, ...pack } = PACKS[key];
  const massGrams = massShare * pack.massGrams;
  const { id } = (await ask("POST", "/v1/packs", ruth, { ...pack, massGrams })).json<{ id: string }>();
  packIds.set(key, id);
  await ask("POST", `/v1/packs/${id}/confirmation`, mona, { checked: ["label"], reason: "Seen." });
  const runs = RUNS.filter((one) => one.pack === key && one.protocol === "full-load" && one.conforming && !one.copyOf);
  const byTester = new Map(runs.map((one) => [one.tester, one]));
  expect(byTester.size).toBe(3);
  for (const [tester, run] of byTester) {
    const headers = await app.signIn(tester);
    const runId = await uploadDemoRun(app, headers, run.key);
    await ask("POST", `/v1/runs/${runId}/reviews`, mona, { decision: "accept", rules: [], note: "Looks right." });
    await ask("POST", `/v1/testers/${tester}/vouch`, mona, { note: "Known bench." });
    const { specimenId } = await app.database.run.findUniqueOrThrow({ where: { id: runId } });
    specimens.set(`${key} ${tester}`, { specimenId, headers, packId: id });
  }
  await idle();
}

/** Waits until nothing is left to be done at once. */
async function idle() {
  const jobs = () => app.database.$queryRaw<object[]>`
    SELECT FROM graphile_worker.jobs WHERE run_at <= now() + interval '5 minutes'`;
  await until(jobs, (some) => some.length === 0);
}

interface Shown {
  readonly figure: string;
  readonly load: number | null;
  readonly value: number;
  readonly uncertainty: number;
  readonly established: boolean;
  readonly disputed: boolean;
  readonly computedValue: number | null;
}
/** Every standing of a pack, as the record has it. */
async function shown(key: PackKey): Promise<ReadonlyMap<string, Shown>> {
  await idle();
  const rows = await app.database.standing.findMany({ where: { packId: packIds.get(key) ?? "" } });
  return new Map(rows.map((one) => [`${one.figure} ${one.load}`, one]));
}

/** Holds all standings of a pack to those before, each times the factor of its figure. */
async function expectMoved(
  key: PackKey,
  before: ReadonlyMap<string, Shown>,
  factors: Readonly<Record<string, number>>,
) {
  const after = await shown(key);
  expect([...after.keys()].sort()).toEqual([...before.keys()].sort());
  for (const [name, one] of after) {
    const then = before.get(name) as Shown;
    const factor = factors[one.figure] ?? 1;
    expect([name, one.value / then.value]).toEqual([name, expect.closeTo(factor, 9)]);
    expect([name, one.uncertainty / then.uncertainty]).toEqual([name, expect.closeTo(factor, 9)]);
    expect({ ...one, value: 0, uncertainty: 0 }).toMatchObject({
      established: then.established,
      disputed: then.disputed,
    });
  }
  return after;
}

const carried = async (key: PackKey) => {
  const where = { subjectId: packIds.get(key) ?? "", event: "carry-over" };
  const entries = await app.database.auditEntry.findMany({ where, include: { reason: true } });
  return entries.map(({ actorId, fromState, toState, reason }) => {
    return { actorId, from: JSON.parse(fromState ?? ""), to: JSON.parse(toState ?? ""), reason: reason?.text };
  });
};
const PER_MASS = ["specific-energy", "specific-power-10s"];
const perMass = (factor: number) => Object.fromEntries(PER_MASS.map((figure) => [figure, factor]));

describe("standings of a corrected pack", () => {
  it("follow the mass that reference testers weigh, in full, and the record says so", async () => {
    const before = await shown("breakwater");
    const ofEnergy = [...before.values()].filter(({ figure }) => figure === "specific-energy");
    const energy = ofEnergy.find(({ established }) => established) as Shown;
    expect(energy).toMatchObject({ established: true, disputed: false });
    const { massGrams } = await app.database.pack.findUniqueOrThrow({ where: { id: packIds.get("breakwater") ?? "" } });
    const weighed = PACKS.breakwater.massGrams;
    for (const [name, { specimenId, headers }] of specimens) {
      if (!name.startsWith("breakwater")) continue;
      await ask("PATCH", `/v1/specimens/${specimenId}`, headers, { massGrams: weighed });
      await idle();
    }
    const factor = (massGrams ?? Number.NaN) / weighed;
    expect(factor).toBeLessThan(0.85);
    await expectMoved("breakwater", before, perMass(factor));
    const [entry, ...more] = await carried("breakwater");
    expect(more).toEqual([]);
    expect(entry).toMatchObject({ actorId: null, reason: expect.stringContaining("full-load") });
    const moved = Object.keys(entry?.to);
    expect(moved.length).toBeGreaterThan(1);
    for (const name of moved) {
      expect(name).toMatch(/^specific-/);
      expect([name, entry?.to[name] / entry?.from[name]]).toEqual([name, expect.closeTo(factor, 9)]);
    }
    const { items } = (
      await ask("GET", "/v1/rankings/specific-energy?chemistry=lipo&first=10&standing=all", null)
    ).json<{
      items: { pack: { id: string }; value: number }[];
    }>();
    const row = items.find(({ pack }) => pack.id === packIds.get("breakwater"));
    expect(row?.value).toBeLessThan(0.85 * energy.value);
  }, 120_000);

  it("follow what a moderator corrects that figures are divided by, up and down, and corrected once more meanwhile", async () => {
    const before = await shown("gravel");
    expect([...before.values()].some(({ figure }) => figure === "capacity-share")).toBe(true);
    const url = `/v1/packs/${packIds.get("gravel")}`;
    const { massGrams, ratedCapacityMah } = PACKS.gravel;
    await ask("PATCH", url, mona, { ratedCapacityMah: ratedCapacityMah * 1.08, reason: "The label." });
    await expectMoved("gravel", before, { "capacity-share": 1 / 1.08 });
    // The second correction comes before the runs are evaluated by the first one.
    await ask("PATCH", url, mona, { massGrams: massGrams * 2, ratedCapacityMah, reason: "The label again." });
    await ask("PATCH", url, mona, { massGrams: massGrams * 0.9, reason: "Weighed without its bag." });
    await expectMoved("gravel", before, perMass(1 / 0.9));
    await ask("PATCH", url, mona, { massGrams, reason: "As it was." });
    await expectMoved("gravel", before, {});
    expect(await app.database.standingBeforeCorrection.count()).toBe(0);
  }, 120_000);

  it("follow what is corrected while the pack is hidden, once it is shown, and nothing where nothing is", async () => {
    const before = await shown("gravel");
    const url = `/v1/packs/${packIds.get("gravel")}`;
    const hide = () => ask("POST", `${url}/hiding`, mona, { reason: "Looked at." });
    const show = () => ask("DELETE", `${url}/hiding`, mona);
    await hide();
    expect((await shown("gravel")).size).toBe(0);
    await ask("PATCH", url, mona, { massGrams: PACKS.gravel.massGrams * 1.25, reason: "Weighed." });
    expect((await shown("gravel")).size).toBe(0);
    const entries = (await carried("gravel")).length;
    await show();
    await expectMoved("gravel", before, perMass(0.8));
    expect(await carried("gravel")).toHaveLength(entries + 1);
    // Shown before its runs are evaluated anew.
    await hide();
    await ask("PATCH", url, mona, { massGrams: PACKS.gravel.massGrams, reason: "As it was." });
    await show();
    await expectMoved("gravel", before, {});
    const unmoved = (await carried("gravel")).length;
    await hide();
    await idle();
    await show();
    await expectMoved("gravel", before, {});
    expect(await carried("gravel")).toHaveLength(unmoved);
    expect(await app.database.standingBeforeCorrection.count()).toBe(0);
  }, 120_000);

  it("stay disputed where they were, by the same share", async () => {
    const packId = packIds.get("slipway") ?? "";
    await app.database.$executeRaw`
      UPDATE confirmed_value SET value = 1.2 * value WHERE pack_id = ${packId}::uuid AND figure = 'specific-energy'`;
    const refresh = () =>
      app.database.$transaction((tx) => app.nest.get(StandingsService).refreshPack(tx, packId, "full-load"));
    await refresh();
    const before = await shown("slipway");
    expect([...before.values()].filter(({ disputed }) => disputed).map(({ figure }) => figure)).toContain(
      "specific-energy",
    );
    await ask("PATCH", `/v1/packs/${packId}`, mona, { massGrams: 1.25 * PACKS.slipway.massGrams, reason: "Weighed." });
    const after = await expectMoved("slipway", before, perMass(0.8));
    for (const [name, { disputed, computedValue }] of after) {
      if (!disputed) continue;
      const then = before.get(name)?.computedValue as number;
      expect([name, (computedValue as number) / then]).toEqual([name, expect.closeTo(0.8, 9)]);
    }
  }, 120_000);

  it("are not established while a part of the runs waits, and what a registrant says of a pack moves nothing", async () => {
    const packId = packIds.get("slipway") ?? "";
    await app.database.standingBeforeCorrection.create({
      data: { packId, protocolKey: "full-load", results: [], runIds: [] },
    });
    await app.database.$transaction((tx) => app.nest.get(StandingsService).refreshPack(tx, packId, "full-load"));
    expect([...(await shown("slipway")).values()].filter(({ established }) => established)).toEqual([]);

    const { trueCapacityShare: _, resistanceMilliohmAh: __, ...pack } = PACKS.apex;
    const { id } = (await ask("POST", "/v1/packs", ruth, pack)).json<{ id: string }>();
    const data = { packId: id, protocolKey: "full-load", results: [], runIds: [] };
    await app.database.standingBeforeCorrection.create({ data });
    await ask("PATCH", `/v1/packs/${id}`, ruth, { massGrams: 2 * pack.massGrams });
    expect(await app.database.standingBeforeCorrection.count({ where: { packId: id } })).toBe(0);
  }, 60_000);
});

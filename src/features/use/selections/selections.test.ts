import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { inRestWords } from "../../../../test/support/graphql-words.js";
import { knownModel } from "../../../../test/support/known-pack-model.js";
import { type PackModel, USE_MODEL_VERSION } from "../../../core/use/model/pack-model.js";
import { predictUse } from "../../../core/use/predict.js";
import { FIT_PACK_MODEL } from "../../rankings/standing-jobs.service.js";
import type { SelectionList } from "./selections.views.js";

const CLASS = { chemistry: "lipo", series: 4 } as const;
const WATTS = 900;
const use = { steps: [{ seconds: 240, powerW: WATTS }], reserve: 0.2 };
const PREDICTED = {
  ...use,
  repeats: 1,
  startC: 23,
  ambientC: 23,
  cutoffVoltsPerCell: 3.3,
  temperatureLimitC: 60,
};

let app: TestApp;
let createdById: string;

const modelOf = (chargeAh: number, more: Partial<PackModel> = {}): PackModel =>
  knownModel({ source: (share) => 4.2 - 0.7 * share - 0.5 * share ** 20, seriesOhm: 0.002, chargeAh, ...more });

/** A pack of the class whose stored model is known; none where it is null. */
async function addPack(
  name: string,
  model: PackModel | null,
  more: { massGrams?: number | null; hiddenAt?: Date } = {},
) {
  const { massGrams = 500, hiddenAt = null } = more;
  const product = { ...CLASS, parallel: 1, maker: "Any", ratedCapacityMah: 5000 };
  const { id } = await app.database.pack.create({ data: { ...product, name, massGrams, hiddenAt, createdById } });
  if (model) await store(id, model);
  return id;
}

async function store(packId: string, model: PackModel): Promise<void> {
  const data = {
    revision: randomUUID(),
    model: model as unknown as object,
    missing: [],
    validation: { runs: [], summary: null },
  };
  await app.database.packModel.upsert({ where: { packId }, create: { packId, ...data }, update: data });
}

async function select(payload: object = {}, query = "") {
  const asked = { class: CLASS, use, ...payload };
  const answer = await app.inject({ method: "POST", url: `/v1/selections${query}`, payload: asked });
  return {
    status: answer.statusCode,
    ...answer.json<SelectionList & { errors: { pointer: string; message: string }[] }>(),
  };
}
const names = ({ items }: SelectionList) => items.map(({ pack }) => pack.name);

const HEAVY = modelOf(8);
let heavyId: string;
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false });
  await app.signIn("anna");
  createdById = (await app.database.account.findFirstOrThrow({ where: { handle: "anna" } })).id;
  heavyId = await addPack("Heavy", HEAVY, { massGrams: 800 });
  await addPack("Light", modelOf(5.6), { massGrams: 480 });
  await addPack("Middle", modelOf(6.2), { massGrams: 480 });
  await addPack("Unweighed", modelOf(7), { massGrams: null });
  await addPack("Small", modelOf(3));
  await addPack("Untested", null);
  await addPack("Gentle", modelOf(6, { range: { ...HEAVY.range, meanA: [2, 10], peakA: 10 } }));
  await addPack("Hidden", modelOf(9), { hiddenAt: new Date(0) });
});
afterAll(() => app.close());

describe("a selection", () => {
  it("lists the packs that hold the use, the surest first, and what became of the others", async () => {
    const selected = await select();
    expect([selected.status, names(selected)]).toEqual([200, ["Heavy", "Unweighed", "Middle", "Light"]]);
    expect(selected.counts).toEqual({ packs: 7, modelled: 6, answered: 5, holding: 4 });
    expect(selected.cautions[0]).toMatch(/no licence/);
  });

  it("tells of each what a prediction tells", async () => {
    const { items } = await select({ of: "mean" });
    const { probability, marginVoltsPerCell, marginUncertainty, lasts, shareLeft, peakA } = predictUse(
      HEAVY,
      PREDICTED,
      { kind: "mean" },
    );
    const expected = { probability, marginVoltsPerCell, marginUncertainty, lasts, shareLeft, peakA };
    expect(items[0]).toMatchObject({ pack: { id: heavyId }, grade: "established", ...expected });
  });

  it.each([
    ["mass", ["Middle", "Light", "Heavy", "Unweighed"]],
    ["margin", ["Heavy", "Unweighed", "Middle", "Light"]],
    ["energy-left", ["Heavy", "Unweighed", "Middle", "Light"]],
  ])("is ordered by %s where that is asked for, then by what is left of the others", async (order, expected) => {
    expect(names(await select({ order }))).toEqual(expected);
  });

  it("leaves out what is heavier than the limit, or of unknown mass", async () => {
    const light = await select({ massLimitGrams: 480 });
    expect([names(light), light.counts]).toEqual([
      ["Middle", "Light"],
      { packs: 2, modelled: 2, answered: 2, holding: 2 },
    ]);
  });

  it("is paged, and each page goes on where the one before ended", async () => {
    const first = await select({}, "?first=3");
    const after = encodeURIComponent(first.pageInfo.endCursor as string);
    const second = await select({}, `?first=3&after=${after}`);
    expect([names(first), names(second)]).toEqual([["Heavy", "Unweighed", "Middle"], ["Light"]]);
    expect([first.pageInfo.hasNextPage, second.pageInfo.hasNextPage]).toEqual([true, false]);
    expect((await select({ order: "mass" }, `?after=${after}`)).status).toBe(400);
  });

  it("is the same over GraphQL", async () => {
    const query = `query($input: SelectionInput!) { selection(input: $input, first: 2) { totalCount cautions
      counts { packs modelled answered holding } edges { node { pack { id name } probability marginVoltsPerCell marginUncertainty
      lasts { value uncertainty isLowerBound } shareLeft energyLeftWh peakA verifiedContinuousA grade cautions } } } }`;
    const input = { class: { chemistry: "LIPO", series: 4 }, use };
    const { body } = await app.graphql(query, { variables: { input } });
    expect(body.errors).toBeUndefined();
    const { selection } = inRestWords(body.data) as { selection: { totalCount: number; edges: { node: object }[] } };
    const { items, counts, cautions } = await select({}, "?first=2");
    expect(selection).toMatchObject({ totalCount: 4, counts, cautions });
    expect(items).toMatchObject(selection.edges.map(({ node }) => node));
    const twice = `query($input: SelectionInput!) { a: selection(input: $input) { totalCount } b: selection(input: $input) { totalCount } }`;
    const refused = await app.graphql(twice, { variables: { input } });
    expect(refused.body.errors?.[0]?.extensions?.code).toBe("query-too-expensive");
  });

  it("follows the models: one that was fitted anew is judged anew", async () => {
    const before = names(await select());
    const packId = await addPack("Fresh", modelOf(3));
    expect(names(await select())).toEqual(before);
    await store(packId, modelOf(9));
    expect(names(await select())).toEqual(["Fresh", ...before]);
    await app.database.pack.delete({ where: { id: packId } });
    expect(names(await select())).toEqual(before);
  });

  it("passes over a model of another version, and has it fitted anew", async () => {
    const packId = await addPack("Old", modelOf(9, { modelVersion: USE_MODEL_VERSION - 1 }));
    const { counts } = await select();
    expect(counts).toMatchObject({ packs: 8, modelled: 6 });
    const jobs = await app.database.$queryRaw<{ key: string }[]>`SELECT key FROM graphile_worker.jobs`;
    expect(jobs.map(({ key }) => key)).toContain(`${FIT_PACK_MODEL}:${packId}`);
    await app.database.pack.delete({ where: { id: packId } });
  });

  it("says beside a pack what its ladders have verified, where the use draws more", async () => {
    const versions = { protocolKey: "current-ladder", protocolVersion: 1, computationVersion: 1 };
    const value = {
      value: 40,
      unit: "A",
      uncertainty: 1,
      testers: 1,
      runs: 1,
      established: false,
      basis: "own",
      sortValue: 40,
    };
    await app.database.standing.create({
      data: {
        ...versions,
        figure: "verified-current",
        load: 0,
        packId: heavyId,
        ...CLASS,
        ratedCapacityMah: 5000,
        ...value,
      },
    });
    const [heavy, next] = (await select()).items;
    expect(heavy).toMatchObject({ verifiedContinuousA: 40, cautions: [expect.stringMatching(/more than the 40 A/)] });
    expect(next).toMatchObject({ verifiedContinuousA: null, cautions: [] });
  });

  it("says where the use draws more than the maker's label allows", async () => {
    const label = { labelContinuousC: 1, labelBurstC: 2 };
    const { ratedCapacityMah } = await app.database.pack.update({ where: { id: heavyId }, data: label });
    const beyond = `more than the ${ratedCapacityMah / 500} A that the maker's label allows at most.`;
    const [heavy] = (await select()).items;
    expect(heavy?.cautions[0]).toContain(beyond);
    await app.database.pack.update({ where: { id: heavyId }, data: { labelContinuousC: null, labelBurstC: null } });
  });

  it("is nothing where the class has no packs", async () => {
    const { status, items, counts } = await select({ class: { chemistry: "liion", series: 6 } });
    expect([status, items, counts]).toEqual([200, [], { packs: 0, modelled: 0, answered: 0, holding: 0 }]);
  });

  it.each([
    [{ class: { chemistry: "lead", series: 4 } }, "/class/chemistry"],
    [{ class: { chemistry: "lipo" } }, "/class/series"],
    [{ use: { steps: [] } }, "/use/steps"],
    [{ use: { steps: [{ seconds: 2.1, currentA: 5 }], repeats: 20_000 } }, "/use"],
    [{ massLimitGrams: 0 }, "/massLimitGrams"],
    [{ order: "price" }, "/order"],
    [{ of: "specimen" }, "/of"],
    [{ pack: 1 }, "/pack"],
  ])("refuses %j, and says where", async (wrong, pointer) => {
    const { status, errors } = await select(wrong);
    expect([status, errors.map((one) => one.pointer)]).toEqual([422, expect.arrayContaining([pointer])]);
  });
});

describe("a class that is large", () => {
  it("is bounded by the stretches of all its packs together, and by their number", async () => {
    const series = 7;
    await app.database.$executeRaw`
      INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, mass_grams, created_by_id)
      SELECT gen_random_uuid(), 'Any', 'Many ' || n, 'lipo', ${series}, 1, 5000, n, ${createdById}::uuid FROM generate_series(1, 4001) AS n`;
    await app.database.$executeRaw`
      INSERT INTO pack_model (pack_id, revision, model, missing, validation)
      SELECT id, id::text, ${JSON.stringify(modelOf(5))}::jsonb, '[]', '{}' FROM pack WHERE series = ${series} AND mass_grams <= 100`;
    const ofClass = { class: { chemistry: "lipo", series } };
    const many = await select(ofClass);
    expect([many.status, many.errors[0]?.pointer]).toEqual([422, "/massLimitGrams"]);
    const long = {
      steps: [
        { seconds: 5, powerW: 300 },
        { seconds: 15, powerW: 100 },
      ],
      repeats: 1_000,
    };
    const costly = await select({ ...ofClass, massLimitGrams: 100, use: long });
    expect([costly.status, costly.errors]).toEqual([
      422,
      [{ pointer: "/use", message: expect.stringMatching(/for 100 packs.*at most 4000000/) }],
    ]);
    const half = await select({ ...ofClass, massLimitGrams: 50, use: { ...long, repeats: 20 } });
    expect([half.status, half.counts.modelled]).toEqual([200, 50]);
  });
});

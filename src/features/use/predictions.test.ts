import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { parse } from "csv-parse/sync";
import { predict } from "../../../docs/example/predict.mjs";
import { EXACT_BENCH } from "../../../test/cross-checks/simulator/bench.js";
import { resistance, standardLoadOhm } from "../../../test/cross-checks/simulator/load.js";
import type { SimulatedPack } from "../../../test/cross-checks/simulator/pack.js";
import { drawPack } from "../../../test/cross-checks/simulator/populations.js";
import { simulateLog } from "../../../test/cross-checks/simulator/simulate-log.js";
import { specimenOf } from "../../../test/predictions/pooled-pack.js";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { postForm, register } from "../../../test/support/uploads.js";
import type { Chemistry } from "../../core/model.js";
import { type PackModel, USE_MODEL_VERSION } from "../../core/use/model/pack-model.js";
import type { ValidatedRun } from "../../core/use/validate.js";
import { validationSums } from "../../core/use/validation-sums.js";
import type { PackModelView, PackValidationView } from "./pack-models.views.js";
import type { PredictionsView } from "./predictions.views.js";
import type { RecordValidationView } from "./validation/record-validation.views.js";

const pack = drawPack("B", "lipo", "p2");
const watts = pack.suitedLoadA * 3.5 * pack.facts.series;
const own = specimenOf(pack, 0.97, 1.05);

let app: TestApp;
let packId: string;
let specimenId: string;
let stranger: { authorization: string };
let owner: { authorization: string };

/** Uploads a full load of a specimen; a moderator accepts it unless it stays unseen. */
async function upload(handle: string, of: SimulatedPack, share: number, isAccepted = true) {
  const headers = await app.signIn(handle);
  const load = resistance(standardLoadOhm(pack.facts.series, share * pack.suitedLoadA));
  const bench = {
    ...EXACT_BENCH,
    stated: { ...EXACT_BENCH.stated, voltage: { percent: 0.1, offset: 0.01 }, current: { percent: 0.5, offset: 0.1 } },
    rateHz: 5.5,
    voltage: { ...EXACT_BENCH.voltage, noise: 0.003, step: 0.001 },
    current: { ...EXACT_BENCH.current, noise: 0.1, step: 0.01 },
    temperature: { gain: 0, offset: 0, noise: 0.05, step: 0.1 },
  };
  const { csv, facts } = simulateLog({ pack: of, load, bench, seed: `${handle} ${share}`, ambientC: 22, startC: 22 });
  const registered = await register(app, headers, "Sprint", {
    log: new Uint8Array(),
    pack: facts.pack,
    bench: facts.bench,
    conditions: { ambientC: 22, restMinutes: 30, cycles: 10, setpointA: null },
  });
  const { packId: ofPack, ...ids } = registered;
  const run = { protocol: "full-load", ...ids, ...facts.conditions };
  const { status, body } = await postForm(`${app.url}/v1/runs`, run, Buffer.from(csv), { headers });
  const failed = body.conformance?.findings.filter(
    ({ severity, outcome }) => severity === "required" && outcome === "fail",
  );
  expect([status, failed]).toEqual([201, []]);
  if (isAccepted) await app.database.run.update({ where: { id: body.id }, data: { review: "accepted" } });
  return { packId: ofPack, specimenId: ids.specimenId, runId: body.id, headers };
}

beforeAll(async () => {
  app = await startTestApp();
  ({ packId } = await upload("anna", pack, 1));
  await upload("anna", pack, 0.35);
});
afterAll(() => app.close());

const use = {
  steps: [
    { seconds: 5, powerW: watts },
    { seconds: 15, powerW: 0.35 * watts },
  ],
  repeats: 6,
  reserve: 0.1,
};
const ask = async (payload: object, headers?: { authorization: string }) => {
  const answer = await app.inject({ method: "POST", url: "/v1/predictions", payload, ...(headers && { headers }) });
  return {
    status: answer.statusCode,
    ...answer.json<PredictionsView & { errors: { pointer: string; message: string }[] }>(),
  };
};

describe("before the runs suffice", () => {
  it("the model is a problem that says which runs are needed, and so does a prediction", async () => {
    const answer = await app.inject(`/v1/packs/${packId}/model`);
    expect([answer.statusCode, answer.json().code, answer.json().errors]).toEqual([
      409,
      "model-not-available",
      [{ pointer: "/runs/testers", message: expect.stringMatching(/second tester/) }],
    ]);
    const [item] = (await ask({ packIds: [packId], use })).items;
    expect(item).toMatchObject({ answered: false, holds: null, curve: [], needed: [{ reason: "testers" }] });
    expect(item?.cautions[0]).toMatch(/no licence/);
  });
});

describe("with runs of two testers", () => {
  beforeAll(async () => {
    await upload("ben", specimenOf(pack, 1.01, 0.98), 0.9);
    ({ specimenId, headers: owner } = await upload("cleo", own, 1.05, false));
    stranger = await app.signIn("dora");
  });

  it("the model is public, and the prediction can be computed again from it", async () => {
    const { model } = (await app.inject(`/v1/packs/${packId}/model`)).json<PackModelView & { model: PackModel }>();
    expect(model).toMatchObject({ grade: "provisional", runs: 3, testers: 2, series: pack.facts.series });
    const { status, items } = await ask({ packIds: [packId], use, of: "mean" });
    expect([status, items[0]?.answered, items[0]?.holds]).toEqual([200, true, true]);
    const again = predict(model, { ...use, startC: 23, ambientC: 23 }, 3, 0.05).at(-1);
    const last = items[0]?.curve.at(-1);
    expect(Math.abs((again?.voltageV as number) / (last?.voltageV as number) - 1)).toBeLessThan(0.002);
    expect(Math.abs((again?.chargeMah as number) / (last?.chargeMah as number) - 1)).toBeLessThan(0.005);
  });

  it("a use that is too long does not hold, and says when and why", async () => {
    const { items } = await ask({ packIds: [packId], use: { ...use, repeats: 60 } });
    expect(items[0]).toMatchObject({ holds: false, of: "unknown-specimen", limit: { reason: "voltage" } });
    expect(items[0]?.limit?.at.uncertainty).toBeGreaterThan(0);
    expect(items[0]?.probability).toBeLessThan(0.01);
  });

  it("nothing is said beyond the currents that were measured", async () => {
    const { items } = await ask({
      packIds: [packId],
      use: { steps: [{ seconds: 5, currentA: 3 * pack.suitedLoadA }] },
    });
    expect(items[0]).toMatchObject({
      answered: false,
      needed: [{ reason: "mean-current" }, { reason: "peak-current" }],
    });
  });

  it("says of a use that holds that it draws more than the maker's label allows", async () => {
    const where = { id: packId };
    const { labelContinuousC, labelBurstC, ratedCapacityMah } = await app.database.pack.findUniqueOrThrow({ where });
    await app.database.pack.update({ where, data: { labelContinuousC: 1, labelBurstC: 2 } });
    const [item] = (await ask({ packIds: [packId], use, of: "mean" })).items;
    await app.database.pack.update({ where, data: { labelContinuousC, labelBurstC } });
    expect(item?.holds).toBe(true);
    const limit = Number((ratedCapacityMah / 500).toPrecision(4));
    expect(item?.cautions.join()).toContain(`more than the ${limit} A that the maker's label allows at most.`);
  });

  it("is the same over GraphQL", async () => {
    const { items } = await ask({ packIds: [packId], use });
    const query = `query($input: PredictionInput!) { predictions(input: $input) { items { packId of holds probability grade
      marginVoltsPerCell limit { reason at { value uncertainty } } lasts { value uncertainty isLowerBound } chargeAh } } }`;
    const { body } = await app.graphql(query, { variables: { input: { packIds: [packId], use } } });
    expect(items[0]).toMatchObject(
      (inRestWords(body.data) as { predictions: PredictionsView }).predictions.items[0] ?? {},
    );
  });

  // A pack that is almost full at the end holds the use, however short that is and whatever rest is in it.
  it.each([
    ["two seconds", 2, 0],
    ["a second", 1, 0],
    ["seconds before a long rest", 3, 600],
    ["a load before an hour of rest", 20, 3600],
  ])(
    "is sure of %s, and says so of a prediction, of a selection, over GraphQL and on the page",
    async (_, load, rest) => {
      const steps = [{ seconds: load, powerW: watts }, ...(rest > 0 ? [{ seconds: rest, powerW: 0 }] : [])];
      const [told] = (await ask({ packIds: [packId], use: { steps } })).items;
      expect(told).toMatchObject({ answered: true, holds: true, limit: null });
      expect(told?.probability).toBeGreaterThan(0.999);
      const query = "query($input: PredictionInput!) { predictions(input: $input) { items { holds probability } } }";
      const { body } = await app.graphql(query, { variables: { input: { packIds: [packId], use: { steps } } } });
      const { holds, probability } = told ?? {};
      expect(body.data).toEqual({ predictions: { items: [{ holds, probability }] } });
      const payload = { class: { chemistry: "lipo", series: pack.facts.series }, use: { steps } };
      const { items } = (await app.inject({ method: "POST", url: "/v1/selections", payload })).json();
      expect(items).toMatchObject([{ pack: { id: packId }, probability }]);
      const form = `watts=${Math.round(watts)}&seconds=${load}&restWatts=0&restSeconds=${rest}&repeats=1`;
      const page = (await app.inject(`/choose?pack=${packId}&${form}`)).body;
      expect(page).toContain("Holds it (over 99 % likely to hold)");
    },
  );

  it("an own specimen is predicted from runs that nobody else may see", async () => {
    const asked = { packIds: [packId], use: { ...use, repeats: 60 }, specimenId };
    const mine = (await ask(asked, owner)).items[0];
    const average = (await ask({ packIds: [packId], use: { ...use, repeats: 60 }, of: "mean" })).items[0];
    expect(mine).toMatchObject({ of: "specimen", answered: true });
    // It holds 3 % less than the others' mean.
    expect((mine?.lasts?.value as number) / (average?.lasts?.value as number)).toBeLessThan(0.99);
    expect((await ask(asked, stranger)).status).toBe(404);
    expect((await ask(asked)).status).toBe(404);
    expect((await ask({ ...asked, specimenId: "none" })).status).toBe(404);
    expect((await app.inject(`/v1/packs/${packId}/model`)).json().model.runs).toBe(3);
  });

  it("each run is held against the others in public", async () => {
    const validation = (await app.inject(`/v1/packs/${packId}/validation`)).json<PackValidationView>();
    expect(validation.missing).toEqual([]);
    expect(validation.runs).toHaveLength(3);
    expect(validation.summary?.voltagePercentRms).toBeLessThan(3);
  });

  it("follows the runs: one that is no longer accepted is in no model", async () => {
    const first = (await app.inject(`/v1/packs/${packId}/model`)).headers.etag as string;
    const current = () => app.inject({ url: `/v1/packs/${packId}/model`, headers: { "if-none-match": first } });
    expect((await current()).statusCode).toBe(304);
    await app.database.run.updateMany({ where: { specimenId }, data: { review: "accepted" } });
    const next = await current();
    expect([next.statusCode, next.json().model.runs]).toEqual([200, 4]);
  });

  it.each([
    [{ steps: [] }, "/use/steps"],
    [{ steps: [{ seconds: 5 }] }, "/use/steps/0"],
    [{ steps: [{ seconds: 5, powerW: 100, currentA: 5 }] }, "/use/steps/0"],
    [{ steps: [{ seconds: 5, currentA: 0 }] }, "/use/steps"],
    [{ steps: [{ seconds: -5, currentA: 5 }] }, "/use/steps/0/seconds"],
    [{ steps: [{ seconds: 40_000, currentA: 5 }], repeats: 2 }, "/use/repeats"],
    [{ steps: [{ seconds: 0.04, currentA: 5 }] }, "/use/steps/0/seconds"],
    [{ steps: [{ seconds: 2.1, currentA: 5 }], repeats: 20_000 }, "/use"],
    [{ steps: [{ seconds: 300, currentA: 5 }], repeats: 140, reserve: 0.8 }, "/use"],
    [{ steps: [{ seconds: 5, currentA: 5 }], repeats: 1_000_000_000 }, "/use/repeats"],
    [
      {
        steps: [
          { seconds: 5, currentA: 5 },
          { seconds: 5, standardLoad: { loadA: 81, share: 1 } },
        ],
      },
      "/use/steps/1/standardLoad/loadA",
    ],
    [{ steps: [{ seconds: 5, currentA: 5 }], reserve: 1 }, "/use/reserve"],
    [{ steps: [{ seconds: 5, currentA: 5 }], colour: 1 }, "/use/colour"],
  ])("refuses %j, and says where", async (wrong, pointer) => {
    const { status, errors } = await ask({ packIds: [packId], use: wrong });
    expect([status, errors.map((one) => one.pointer)]).toEqual([422, expect.arrayContaining([pointer])]);
  });

  it("counts what a request costs by its packs: what one may be asked, ten may not", async () => {
    const long = { steps: [{ seconds: 600, powerW: watts / 2 }], repeats: 60 };
    const others = Array.from({ length: 9 }, (_, i) => `00000000-0000-4000-8000-00000000000${i}`);
    expect((await ask({ packIds: [packId], use: long })).status).toBe(200);
    const { status, errors } = await ask({ packIds: [packId, ...others], use: long });
    expect([status, errors]).toEqual([422, [{ pointer: "/use", message: expect.stringMatching(/at most 150000/) }]]);
    const query =
      "query($input: PredictionInput!) { a: predictions(input: $input) { items { holds } } b: predictions(input: $input) { items { holds } } }";
    const input = { packIds: [packId, ...others], use };
    const { body } = await app.graphql(query, { variables: { input } });
    expect(body.errors?.[0]?.extensions?.code).toBe("query-too-expensive");
  });
});

describe("the validation of the whole record", () => {
  const read = async () => (await app.inject("/v1/validation")).json<RecordValidationView>();
  const idle = async () => {
    while ((await app.database.$queryRaw<object[]>`SELECT FROM graphile_worker.jobs`).length > 0) await delay(20);
  };
  /** A pack of which what its validated runs add up to is known. */
  async function addValidated(name: string, chemistry: Chemistry, series: number, runs: readonly ValidatedRun[]) {
    const { createdById } = await app.database.pack.findFirstOrThrow({ where: { id: packId } });
    const product = { maker: "Any", name, chemistry, series, parallel: 1, ratedCapacityMah: 5000, createdById };
    const { id } = await app.database.pack.create({ data: product });
    const data = { packId: id, modelVersion: USE_MODEL_VERSION, chemistry, series, ...validationSums(runs) };
    await app.database.validatedPack.create({ data });
    return id;
  }
  const run = (timePercent: number): ValidatedRun => ({
    ...{ runId: "run", voltagePercentRms: 0.1, voltageCoverage: 0.9, timePercent, timeUncertaintyPercent: 1 },
    ...{ temperatureK: null, temperatureUncertainty: null },
  });

  it("is what the packs' own validations make together, without any of them being read", async () => {
    await idle();
    const { runs } = (await app.inject(`/v1/packs/${packId}/validation`)).json<PackValidationView>();
    const rms = (values: readonly number[]) =>
      Math.sqrt(values.reduce((sum, one) => sum + one ** 2, 0) / values.length);
    const { items, modelVersion } = await read();
    expect([modelVersion, items.map(({ chemistry, series }) => [chemistry, series])]).toEqual([
      USE_MODEL_VERSION,
      [
        [null, null],
        ["lipo", null],
        ["lipo", pack.facts.series],
      ],
    ]);
    for (const item of items) {
      expect(item).toMatchObject({ packs: 1, runs: runs.length, probedRuns: runs.length });
      expect(item.voltagePercentRms).toBeCloseTo(rms(runs.map((one) => one.voltagePercentRms)), 6);
      expect(item.temperatureRms).toBeCloseTo(rms(runs.map((one) => one.temperatureK as number)), 6);
    }
  });

  // Of time errors 1, 3 and 5 %: 3 % in the mean, sqrt(35 / 3) % rms, one of three within 2 u. Worked by hand.
  it("adds up packs by class and chemistry, and takes away what is gone", async () => {
    const before = await app.inject("/v1/validation");
    const six = await addValidated("Six", "liion", 6, [run(1), run(3)]);
    const three = await addValidated("Three", "liion", 3, [run(5)]);
    const found = (await read()).items.filter(({ chemistry }) => chemistry === "liion");
    const close = (value: number) => expect.closeTo(value, 9);
    expect(found).toMatchObject([
      {
        ...{ series: null, packs: 2, runs: 3, timedRuns: 3, voltagePercentRms: close(0.1), timePercentMean: close(3) },
        ...{ timePercentRms: close(Math.sqrt(35 / 3)), timeCoverage: close(1 / 3), temperatureMean: null },
      },
      { series: 3, packs: 1, runs: 1, timePercentMean: close(5) },
      { series: 6, packs: 1, runs: 2, timePercentMean: close(2), timeCoverage: close(0.5) },
    ]);
    const moved = { chemistry: "lihv", modelVersion: USE_MODEL_VERSION - 1 };
    await app.database.validatedPack.update({ where: { packId: three }, data: moved });
    expect((await read()).items.some(({ chemistry, series }) => chemistry === "lihv" || series === 3)).toBe(false);
    await app.database.pack.deleteMany({ where: { id: { in: [six, three] } } });
    const headers = { "if-none-match": String(before.headers.etag) };
    const after = await app.inject({ url: "/v1/validation", headers });
    expect([after.statusCode, (await read()).items]).toEqual([304, before.json<RecordValidationView>().items]);
  });

  it("is the same over GraphQL, a table and a picture", async () => {
    const { items } = await read();
    const fields = Object.keys(items[0] ?? {}).join(" ");
    const { body } = await app.graphql(`{ recordValidation { modelVersion items { ${fields} } } }`);
    expect(inRestWords(body.data)).toEqual({ recordValidation: await read() });
    const rows = parse((await app.inject("/v1/validation.csv")).body, { columns: true }) as Record<string, string>[];
    expect(rows.map((row) => Number(row["voltage rms error [%]"]))).toEqual(
      items.map(({ voltagePercentRms }) => voltagePercentRms),
    );
    const named = `LiPo ${pack.facts.series}S`;
    expect((await app.inject("/v1/validation.md")).body).toContain(`| ${named} | 1 | ${items[0]?.runs} |`);
    expect((await app.inject("/v1/validation.svg")).body).toContain(named);
  });

  it("leaves out the runs of a pack that is hidden", async () => {
    const headers = await app.signIn("mona", "moderator");
    const url = `/v1/packs/${packId}/hiding`;
    const before = await read();
    const payload = { reason: "A copy." };
    expect((await app.inject({ method: "POST", url, payload, headers })).statusCode).toBeLessThan(300);
    await idle();
    expect((await read()).items).toEqual([]);
    expect((await app.inject({ method: "DELETE", url, headers })).statusCode).toBeLessThan(300);
    await idle();
    expect(await read()).toEqual(before);
  });
});

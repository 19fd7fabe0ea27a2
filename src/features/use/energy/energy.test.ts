import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { parse } from "csv-parse/sync";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { inRestWords } from "../../../../test/support/graphql-words.js";
import { knownModel } from "../../../../test/support/known-pack-model.js";
import { type PackModel, USE_MODEL_VERSION } from "../../../core/use/model/pack-model.js";
import { validationSums } from "../../../core/use/validation-sums.js";
import { FIT_PACK_MODEL } from "../../rankings/standing-jobs.service.js";
import { PackModelsService } from "../pack-models.service.js";
import type { EnergyAgainstPowerView, EnergyComparisonView } from "./energy.views.js";

const CLASS = { chemistry: "lipo", series: 4 } as const;

let app: TestApp;
let createdById: string;
let ids: Readonly<Record<"small" | "large" | "untested" | "merged" | "hidden", string>>;

const modelOf = (chargeAh: number): PackModel =>
  knownModel({ source: (share) => 4.2 - share, seriesOhm: 0.002, chargeAh });

/** A pack whose stored model is known; none where it is null. */
async function addPack(name: string, model: PackModel | null, more: { hiddenAt?: Date; mergedIntoId?: string } = {}) {
  const product = { ...CLASS, parallel: 1, maker: "Any", ratedCapacityMah: 5000, massGrams: 500 };
  const { id } = await app.database.pack.create({ data: { ...product, name, createdById, ...more } });
  if (model) {
    const revision = await app.nest.get(PackModelsService).revisionOf(id);
    const validation = { runs: [], summary: null };
    const data = { revision, model: model as unknown as object, missing: [], validation };
    await app.database.packModel.create({ data: { packId: id, ...data } });
  }
  return id;
}

beforeAll(async () => {
  app = await startTestApp({ runsJobs: false });
  await app.signIn("anna");
  createdById = (await app.database.account.findFirstOrThrow({ where: { handle: "anna" } })).id;
  const large = await addPack("Large", modelOf(8));
  ids = {
    small: await addPack("Small", modelOf(5)),
    large,
    untested: await addPack("Untested", null),
    merged: await addPack("Merged", null, { mergedIntoId: large }),
    hidden: await addPack("Hidden", modelOf(5), { hiddenAt: new Date(0) }),
  };
});
afterAll(() => app.close());

interface Refused {
  readonly code: string;
  readonly errors: readonly { readonly pointer: string; readonly message: string }[];
}

type Row = Record<string, string>;
const rowsOf = (csv: string) => parse(csv, { columns: true, record_delimiter: "\r\n" }) as Row[];

describe("energy against power", () => {
  const url = (ending = "", query = "") => `/v1/packs/${ids.small}/energy-against-power${ending}${query}`;

  // 4 (4.2 V - q / 5 Ah) I - 4 * 0.002 ohm I^2 = P, integrated: the closed form stands in src/core/use/energy-power.test.ts.
  it("is power times time at every power, in rising order, and the same over GraphQL", async () => {
    const answer = await app.inject(url("", "?of=mean&startC=25"));
    const { points, of, startC, cautions, needed } = answer.json<EnergyAgainstPowerView>();
    expect([answer.statusCode, of, startC, points.length > 10]).toEqual([200, "mean", 25, true]);
    expect(cautions[0]).toMatch(/no licence/);
    // At 3.3 V of a cell 4.2 - 3.3 = 0.9 of the charge is drawn: the cutoff is met at every power.
    expect(needed).toEqual([]);
    points.forEach(({ powerW, timeS, energyWh }, i) => {
      expect(energyWh).toBeCloseTo((powerW * timeS) / 3600, 9);
      if (i > 0)
        expect([powerW > (points[i - 1]?.powerW ?? 0), timeS < (points[i - 1]?.timeS ?? 0)]).toEqual([true, true]);
    });
    const query = `query($id: ID!) { energyAgainstPower(packId: $id, of: MEAN, startC: 25) { cautions packId of grade startC cutoffVoltsPerCell temperatureLimitC
      verifiedContinuousA points { powerW timeS timeUncertainty energyWh energyUncertainty isLowerBound ends } needed { reason message } } }`;
    const { body } = await app.graphql(query, { variables: { id: ids.small } });
    expect(body.errors).toBeUndefined();
    expect(inRestWords(body.data)).toEqual({ energyAgainstPower: answer.json() });
  });

  it("is a table and a picture by its ending", async () => {
    const { points } = (await app.inject(url())).json<EnergyAgainstPowerView>();
    const rows = rowsOf((await app.inject(url(".csv"))).body);
    expect(rows.map((row) => Number(row["energy [Wh]"]))).toEqual(points.map(({ energyWh }) => energyWh));
    expect((await app.inject(url(".md"))).body).toMatch(/Small: energy against steady power/);
    expect((await app.inject(url(".svg"))).body).toContain("energy and time against steady power</title>");
    expect((await app.inject(url(".png", "?width=400"))).rawPayload.readUInt32BE(16)).toBe(400);
  });

  it("is refused for a pack without a model, and for a temperature that is none", async () => {
    const refused = await app.inject(`/v1/packs/${ids.untested}/energy-against-power`);
    expect([refused.statusCode, refused.json().code]).toEqual([409, "model-not-available"]);
    expect((await app.inject(url("", "?startC=warm"))).statusCode).toBe(422);
  });

  it("is told of a hidden pack to nobody but those who see it, and none of its runs counts", async () => {
    const of = (what: string) => `/v1/packs/${ids.hidden}/${what}`;
    const [anna, mona, dora] = [
      await app.signIn("anna"),
      await app.signIn("mona", "moderator"),
      await app.signIn("dora"),
    ];
    const statusOf = async (what: string, headers?: { authorization: string }) =>
      (await app.inject({ url: of(what), ...(headers && { headers }) })).statusCode;
    await app.database.packModel.delete({ where: { packId: ids.hidden } });
    for (const what of ["energy-against-power", "model"]) {
      const statuses = [await statusOf(what), await statusOf(what, dora), await statusOf(what, mona)];
      expect([what, ...statuses]).toEqual([what, 404, 404, 409]);
    }
    expect(await statusOf("validation", mona)).toBe(200);
    expect(await statusOf("validation", anna)).toBe(200);
    const payload = { packIds: [ids.hidden], use: { steps: [{ seconds: 5, currentA: 20 }] } };
    const predict = (headers: { authorization: string }) =>
      app.inject({ method: "POST", url: "/v1/predictions", payload, headers });
    expect([(await predict(dora)).statusCode, (await predict(mona)).statusCode]).toEqual([404, 200]);
  });
});

describe("energy of several packs against power", () => {
  const url = (packs: readonly string[], ending = "", query = "") =>
    `/v1/energy-against-power${ending}?packs=${packs.join(",")}${query}`;
  const compare = async (packs: readonly string[], query = "") =>
    (await app.inject(url(packs, "", query))).json<EnergyComparisonView & Refused>();

  // The same cells with 8 / 5 of the charge: at one power each share of it takes 8 / 5 of the time.
  it("tells each at the same round powers, in the order asked for", async () => {
    const { items, cautions } = await compare([ids.large, ids.small], "&of=mean");
    expect(cautions[0]).toMatch(/no licence/);
    const [large, small] = items;
    expect([large?.pack.name, small?.pack.name]).toEqual(["Large", "Small"]);
    // ISO 3, series R10 (from memory).
    const powers = small?.points.map(({ powerW }) => powerW);
    expect(powers?.slice(-6)).toEqual([500, 630, 800, 1000, 1250, 1600]);
    expect(large?.points.map(({ powerW }) => powerW)).toEqual(powers);
    small?.points.forEach(({ timeS, isLowerBound }, i) => {
      expect((large?.points[i]?.timeS as number) / timeS).toBeCloseTo(8 / 5, isLowerBound ? 2 : 3);
    });
  });

  it("is the same over GraphQL", async () => {
    const query = `query($packs: [ID!]!) { energyComparison(packs: $packs, of: MEAN, startC: 25) { cautions of startC temperatureLimitC items {
      pack { id name } grade cutoffVoltsPerCell verifiedContinuousA needed { reason message }
      points { powerW timeS timeUncertainty energyWh energyUncertainty isLowerBound ends } } } }`;
    const packs = [ids.small, ids.large];
    const { body } = await app.graphql(query, { variables: { packs } });
    expect(body.errors).toBeUndefined();
    const { energyComparison } = inRestWords(body.data) as { energyComparison: EnergyComparisonView };
    expect(energyComparison.items).toHaveLength(2);
    expect(await compare(packs, "&of=mean&startC=25")).toMatchObject(energyComparison);
  });

  it("says what is needed of a pack without a model, beside those that have one", async () => {
    const { items } = await compare([ids.untested, ids.small]);
    expect(items[0]).toMatchObject({ grade: null, points: [] });
    expect(items[0]?.needed.map(({ reason }) => reason)).toContain("testers");
    expect(items[1]?.points.length).toBeGreaterThan(10);
  });

  it("is a table and a picture by its ending", async () => {
    const packs = [ids.small, ids.large, ids.untested];
    const { items } = await compare(packs);
    const rows = rowsOf((await app.inject(url(packs, ".csv"))).body);
    const values = items.flatMap(({ points }) => points.map(({ energyWh }) => String(energyWh)));
    expect(rows.map((row) => row["energy [Wh]"])).toEqual([...values, ""]);
    expect(rows.at(-1)).toMatchObject({ pack: "Untested", needed: expect.stringMatching(/second tester/) });
    const markdown = (await app.inject(url(packs, ".md"))).body;
    expect(markdown).toMatch(/\| power \[W\] \| Any Small \| Any Large \| Any Untested \|/);
    expect(markdown).toMatch(/\| 1250 \| \d+ ± \d+ \| \d+ ± \d+ \| {2}\|/);
    const svg = (await app.inject(url(packs, ".svg"))).body;
    expect(svg).toContain("3 packs: energy and time against steady power</title>");
    for (const name of ["Any Small", "Any Large", "To say more of Any Untested"]) expect(svg).toContain(name);
    expect((await app.inject(url(packs, ".png", "&width=400"))).rawPayload.readUInt32BE(16)).toBe(400);
  });

  it("takes the id of a merged pack for the one that it leads to, and compares a hidden one with none", async () => {
    const { items } = await compare([ids.small, ids.merged]);
    expect(items.map(({ pack }) => pack.name)).toEqual(["Small", "Large"]);
    expect(await compare([ids.large, ids.merged])).toMatchObject({
      code: "invalid-input",
      errors: [{ pointer: "/packs", message: expect.stringMatching(/merged/) }],
    });
    const headers = await app.signIn("mona", "moderator");
    const hidden = await app.inject({ url: url([ids.small, ids.hidden]), headers });
    expect([hidden.statusCode, hidden.json().errors]).toEqual([
      404,
      [{ pointer: "/packs/1", message: `${ids.hidden} names no pack` }],
    ]);
  });

  it("is of 2 to 20 packs", async () => {
    const many = Array.from(
      { length: 21 },
      (_, i) => `00000000-0000-4000-8000-0000000000${String(i).padStart(2, "0")}`,
    );
    for (const packs of [[ids.small], [ids.small, ids.small], many]) {
      const { code, errors } = await compare(packs);
      expect([code, errors]).toEqual([
        "invalid-input",
        [{ pointer: "/packs", message: expect.stringMatching(/2 to 20/) }],
      ]);
    }
    expect((await compare([ids.small, "none"])).code).toBe("not-found");
    expect((await app.inject("/v1/energy-against-power")).statusCode).toBe(422);
  });

  it("is answered 304 until a pack of it changes", async () => {
    const asked = url([ids.small, ids.large]);
    const tag = (await app.inject(asked)).headers.etag as string;
    const again = () => app.inject({ url: asked, headers: { "if-none-match": tag } });
    expect((await again()).statusCode).toBe(304);
    await app.database.pack.update({ where: { id: ids.small }, data: { name: "Smaller" } });
    const changed = await again();
    expect([changed.statusCode, changed.body.includes("Smaller")]).toEqual([200, true]);
  });

  it("says where a pack comes to draw more than its ladders have verified", async () => {
    const versions = { protocolKey: "current-ladder", protocolVersion: 1, computationVersion: 1 };
    const value = { value: 40, unit: "A", uncertainty: 1, testers: 1, runs: 1, established: false, sortValue: 40 };
    const ofPack = { packId: ids.large, ...CLASS, ratedCapacityMah: 5000 };
    const row = { ...versions, ...ofPack, ...value, figure: "verified-current", basis: "own", load: 0 };
    await app.database.standing.create({ data: row });
    const { items, cautions } = await compare([ids.small, ids.large]);
    expect(items.map(({ verifiedContinuousA }) => verifiedContinuousA)).toEqual([null, 40]);
    // 40 A at 3.3 V of each of four cells.
    expect(cautions.at(-1)).toMatch(/Any Large: above 528 W .* 40 A/);
    const { ratedCapacityMah } = await app.database.pack.update({
      where: { id: ids.small },
      data: { labelContinuousC: 4, labelBurstC: 8 },
    });
    const amperes = ratedCapacityMah / 250;
    const told = (await compare([ids.small, ids.large])).cautions;
    expect(told.join()).toContain(
      `above ${amperes * 13.2} W it comes to draw more than the ${amperes} A of continuous current on the maker's label.`,
    );
    await app.database.pack.update({ where: { id: ids.small }, data: { labelContinuousC: null } });
    expect((await compare([ids.small, ids.large])).cautions.join()).toContain(
      `the ${2 * amperes} A that the maker's label allows in bursts.`,
    );
  });
});

// What a start of the service does: models are fitted anew by jobs until the record's validation is of their version.
it("queues the fit of models of another version, and of no others", async () => {
  const queued = async () => {
    await app.nest.get(PackModelsService).queueOutdated();
    const jobs = await app.database.$queryRaw<{ key: string }[]>`SELECT key FROM graphile_worker.jobs`;
    await app.database.$executeRaw`SELECT graphile_worker.remove_job(key) FROM graphile_worker.jobs`;
    return jobs.map(({ key }) => key).sort();
  };
  const keyOf = (id: string) => `${FIT_PACK_MODEL}:${id}`;
  const sums = { packId: ids.small, ...CLASS, ...validationSums([]) };
  await app.database.validatedPack.create({ data: { ...sums, modelVersion: USE_MODEL_VERSION - 1 } });
  const all = [keyOf(ids.small), keyOf(ids.large)];
  expect(await queued()).toEqual(expect.arrayContaining(all));
  const where = { packId: ids.small };
  await app.database.validatedPack.update({ where, data: { modelVersion: USE_MODEL_VERSION } });
  const left = await queued();
  expect(all.filter((key) => left.includes(key))).toEqual([keyOf(ids.large)]);
});

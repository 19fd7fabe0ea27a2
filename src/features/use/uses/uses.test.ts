import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Ajv2020 } from "ajv/dist/2020.js";
import { parse } from "csv-parse/sync";
import request from "supertest";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { inRestWords } from "../../../../test/support/graphql-words.js";
import { knownModel } from "../../../../test/support/known-pack-model.js";
import { answerOf, logCase, postForm, register } from "../../../../test/support/uploads.js";
import type { LogView } from "../../runs/evaluation/evaluation.views.js";
import type { LogUseView } from "../../runs/log-uses/log-uses.views.js";
import { PackModelsService } from "../pack-models.service.js";
import type { PredictionsView } from "../predictions.views.js";
import type { LoggedStepView, LoggedUseView } from "./uses.views.js";

let app: TestApp;
let packId: string;
let runId: string;

beforeAll(async () => {
  app = await startTestApp();
  const headers = await app.signIn("anna");
  const given = logCase("plain-20hz");
  const { packId: ofPack, ...ids } = await register(app, headers, "Sprint", given);
  packId = ofPack;
  const run = { protocol: "full-load", ...ids, ...given.conditions };
  const { body } = await postForm(`${app.url}/v1/runs`, run, given.log, { headers });
  runId = body.id;
  await app.database.run.update({ where: { id: runId }, data: { review: "accepted" } });
});
afterAll(() => app.close());

const predict = (use: unknown, ending = "") =>
  app.inject({ method: "POST", url: `/v1/predictions${ending}`, payload: { packIds: [packId], use, of: "mean" } });

// JSON Schema 2020-12 as the library Ajv reads it.
describe("the published schema of a use", () => {
  const step = { seconds: 5, powerW: 100 };
  it.each<[boolean, string, object]>([
    [true, "one step", { steps: [step] }],
    [
      true,
      "every member",
      {
        steps: [step, { seconds: 1, currentA: 0 }, { seconds: 1, resistanceOhm: 2 }],
        repeats: 3,
        startC: 20,
        ambientC: 15,
        cycles: 5,
        cutoffVoltsPerCell: 3.2,
        reserve: 0.1,
        temperatureLimitC: 55,
      },
    ],
    [true, "a standard load", { steps: [{ seconds: 5, standardLoad: { loadA: 80, share: 0.5 } }] }],
    [true, "members that are null", { steps: [{ ...step, currentA: null }], repeats: null }],
    [false, "no steps", {}],
    [false, "an empty list", { steps: [] }],
    [false, "a step without a demand", { steps: [{ seconds: 5 }] }],
    [false, "two demands", { steps: [{ ...step, currentA: 4 }] }],
    [
      false,
      "rests alone",
      {
        steps: [
          { seconds: 5, currentA: 0 },
          { seconds: 5, powerW: 0 },
        ],
      },
    ],
    [false, "a step that is too short", { steps: [{ ...step, seconds: 0.04 }] }],
    [false, "a resistance of nothing", { steps: [{ seconds: 5, resistanceOhm: 0 }] }],
    [false, "half a repeat", { steps: [step], repeats: 1.5 }],
    [false, "a text for a number", { steps: [{ seconds: "5", powerW: 100 }] }],
    [false, "all of it in reserve", { steps: [step], reserve: 1 }],
    [false, "a member that is unknown", { steps: [step], wind: 3 }],
    [false, "an unknown member of a step", { steps: [{ ...step, wind: 3 }] }],
    [false, "half a standard load", { steps: [{ seconds: 5, standardLoad: { loadA: 80 } }] }],
  ])("is %s for %s, as the service says too", async (isValid, _, use) => {
    const published = await app.inject({ url: "/v1/use-schema", headers: { accept: "application/schema+json" } });
    expect(published.headers["content-type"]).toMatch(/^application\/schema\+json/);
    const schema = published.json<{ $schema: string }>();
    expect(schema.$schema).toBe("https://json-schema.org/draft/2020-12/schema");
    const validate = new Ajv2020({
      allErrors: true,
      strict: true,
      allowUnionTypes: true,
      strictRequired: false,
    }).compile(schema);
    expect([validate(use), (await predict(use)).statusCode]).toEqual([isValid, isValid ? 200 : 422]);
  });

  it("is the same over GraphQL", async () => {
    const { body } = await app.graphql("{ useSchema }");
    expect(body.data?.useSchema).toEqual((await app.inject("/v1/use-schema")).json());
  });
});

describe("a run's log as a use", () => {
  const chargeOf = ({ steps }: LoggedUseView) =>
    steps.reduce((sum, { seconds, currentA }) => sum + seconds * (currentA ?? 0), 0) / 3.6;
  const usedBy = async (query = "") => (await app.inject(`/v1/runs/${runId}/use${query}`)).json<LoggedUseView>();

  it("draws the charge, or the energy, that the run's figures tell", async () => {
    const { figures } = (await app.inject(`/v1/runs/${runId}`)).json<{
      figures: { key: string; basis: string; value: number }[];
    }>();
    const figure = (key: string) =>
      figures.find((one) => one.key === key && one.basis !== "translated")?.value as number;
    const amperes = await usedBy();
    expect(amperes).toMatchObject({ runId, demand: "current" });
    expect(Math.abs(chargeOf(amperes) / figure("capacity") - 1)).toBeLessThan(0.02);
    const watts = await usedBy("?demand=power");
    const energyWh = watts.steps.reduce((sum, { seconds, powerW }) => sum + seconds * (powerW ?? 0), 0) / 3600;
    expect(Math.abs(energyWh / figure("energy") - 1)).toBeLessThan(0.02);
  });

  it("is what a prediction takes", async () => {
    const { steps } = await usedBy();
    expect((await predict({ steps })).statusCode).toBe(200);
    const query =
      "query($runId: ID!) { useOfRun(runId: $runId) { runId demand durationS steps { seconds powerW currentA } remarks { kind message } } }";
    const { body } = await app.graphql(query, { variables: { runId } });
    expect(inRestWords(body.data)).toEqual({ useOfRun: await usedBy() });
  });

  it("is refused for another demand, and for a run that nobody may see", async () => {
    expect((await app.inject(`/v1/runs/${runId}/use?demand=heat`)).statusCode).toBe(422);
    await app.database.run.update({ where: { id: runId }, data: { review: "pending" } });
    expect((await app.inject(`/v1/runs/${runId}/use`)).statusCode).toBe(404);
    await app.database.run.update({ where: { id: runId }, data: { review: "accepted" } });
  });
});

describe("a log that is sent, as a use", () => {
  const { log } = logCase("plain-20hz");
  const send = async (bytes: Uint8Array, reading?: object, headers = {}) => {
    const sent = request(app.url).post("/v1/uses").set(headers);
    if (reading) sent.field("reading", JSON.stringify(reading));
    return answerOf(sent.attach("log", Buffer.from(bytes), { filename: "model.csv", contentType: "text/csv" }));
  };
  const textOf = (amperes: (second: number) => number, seconds: number) =>
    `t [s],U [V],I [A]\n${Array.from({ length: seconds }, (_, i) => `${i},${16 - 0.01 * amperes(i)},${amperes(i)}`).join("\n")}\n`;
  const bytesOf = (text: string) => new TextEncoder().encode(text);
  const drawnBy = (steps: readonly LoggedStepView[]) =>
    steps.reduce((sum, { seconds, currentA, powerW }) => sum + seconds * (currentA ?? powerW ?? 0), 0);

  it.each(["current", "power"] as const)("is that of the run of the same log, by its %s", async (demand) => {
    const { status, body } = await send(log, { demand });
    expect(status).toBe(200);
    const sent = body as unknown as LogUseView;
    const ofRun = (await app.inject(`/v1/runs/${runId}/use?demand=${demand}`)).json<LoggedUseView>();
    expect(Math.abs(drawnBy(sent.steps) / drawnBy(ofRun.steps) - 1)).toBeLessThan(1e-3);
    expect(Math.abs(sent.durationS - ofRun.durationS)).toBeLessThan(0.5);
    const { log: ofTheRun } = (await app.inject(`/v1/runs/${runId}`)).json<{ log: LogView }>();
    expect(sent.log).toMatchObject({ sha256: ofTheRun.sha256, rows: ofTheRun.rows, columns: ofTheRun.columns });
  });

  it("can be posted to predictions and selections as it is, and leaves nothing behind", async () => {
    const counted = async () => [await app.database.log.count(), await app.database.run.count()];
    const before = await counted();
    const { steps } = (await send(log)).body as unknown as LogUseView;
    expect((await predict({ steps })).statusCode).toBe(200);
    const payload = { class: { chemistry: "lipo", series: 4 }, use: { steps } };
    expect((await app.inject({ method: "POST", url: "/v1/selections", payload })).statusCode).toBe(200);
    expect(await counted()).toEqual(before);
  });

  it("of twelve hours of noise can be posted as it is too, and tells what it costs", async () => {
    const { status, body } = await send(bytesOf(textOf((i) => (i < 5 ? 0 : 40 + ((i * 7919) % 1009) / 10), 43_200)));
    const { steps, remarks } = body as unknown as LogUseView;
    expect([status, remarks.map(({ kind }) => kind)]).toEqual([200, ["loads-reordered", "costly"]]);
    expect((await predict({ steps })).statusCode).toBe(200);
    const payload = { class: { chemistry: "lipo", series: 4 }, use: { steps } };
    expect((await app.inject({ method: "POST", url: "/v1/selections", payload })).statusCode).toBe(200);
    const many = { packIds: Array.from({ length: 10 }, () => packId), use: { steps } };
    const refused = await app.inject({ method: "POST", url: "/v1/predictions", payload: many });
    expect([refused.statusCode, refused.json().errors[0]?.pointer]).toEqual([422, "/use"]);
  });

  it("is read by the column map that is sent", async () => {
    const unnamed = bytesOf(textOf((i) => (i < 5 ? 0 : 20), 60).replace("U [V]", "Input"));
    const refused = await send(unnamed);
    expect([refused.status, refused.body.type]).toEqual([422, "/problems/log-column-missing"]);
    const told = await send(unnamed, { columns: { voltage: { name: "Input", unit: "V" } } });
    expect([told.status, Math.round(drawnBy((told.body as unknown as LogUseView).steps))]).toEqual([200, 20 * 55 - 10]);
  });

  it("is refused where it lasts longer than a use may, holds no load, or is asked for what is unknown", async () => {
    const long = await send(bytesOf(textOf((i) => (i < 5 ? 0 : 20), 60).replace("\n59,", "\n50000,")));
    expect([long.status, long.body.errors]).toEqual([
      422,
      [{ pointer: "/log", message: expect.stringMatching(/^shows loads over 13\.9 h/) }],
    ]);
    expect((await send(bytesOf(textOf(() => 0, 60)))).body.type).toBe("/problems/log-no-load");
    expect((await send(log, { demand: "heat" })).body.errors[0]?.pointer).toBe("/demand");
    expect((await send(log, { columns: { wind: "W" } })).body.errors[0]?.pointer).toBe("/columns/wind");
    const { status, body } = await answerOf(request(app.url).post("/v1/uses").field("reading", "{}"));
    expect([status, body.errors[0]?.pointer]).toEqual([422, "/log"]);
    expect((await app.inject({ method: "POST", url: "/v1/uses", payload: {} })).statusCode).toBe(415);
  });

  it("answers a retry under its key as the first time", async () => {
    const headers = { "idempotency-key": '"0b0c7a54-7d1e-4d5e-9f0e-1f0d8f1f7a11"' };
    const first = await send(log, { demand: "power" }, headers);
    const again = await send(log, { demand: "power" }, headers);
    expect([again.body, again.headers["idempotency-replayed"]]).toEqual([first.body, "?1"]);
    expect((await send(log, { demand: "current" }, headers)).status).toBe(422);
  });
});

describe("a prediction as CSV", () => {
  const use = { steps: [{ seconds: 60, currentA: 50 }] };

  it("has the numbers of the JSON, one row an instant", async () => {
    const model = knownModel({ source: (share) => 4.2 - share, seriesOhm: 0.002 });
    const revision = await app.nest.get(PackModelsService).revisionOf(packId);
    const data = { revision, model: model as unknown as object, missing: [], validation: { runs: [], summary: null } };
    await app.database.packModel.upsert({ where: { packId }, create: { packId, ...data }, update: data });
    const [item] = (await predict(use)).json<PredictionsView>().items;
    const answer = await predict(use, ".csv");
    expect([answer.statusCode, answer.headers["content-type"]]).toEqual([
      200,
      "text/csv; charset=utf-8; header=present",
    ]);
    const rows = parse(answer.body, { columns: true, record_delimiter: "\r\n" }) as Record<string, string>[];
    expect(rows).toHaveLength(item?.curve.length as number);
    rows.forEach((row, i) => {
      const point = item?.curve[i];
      expect(row).toMatchObject({ pack: packId, of: "mean", holds: "true" });
      expect([row["time [s]"], row["voltage [V]"], row["charge uncertainty [mAh]"]].map(Number)).toEqual([
        point?.timeS,
        point?.voltageV,
        point?.chargeUncertainty,
      ]);
    });
  });

  it("is given again to a retry under its key, as it was and by its address", async () => {
    const headers = { "idempotency-key": '"5a3f4c1e-8a8e-4f0b-b5d5-1a1a0a5f7c22"' };
    const payload = { packIds: [packId], use, of: "mean" };
    const ask = (url: string, more = {}) =>
      app.inject({ method: "POST", url, payload, headers: { ...headers, ...more } });
    const [first, again] = [await ask("/v1/predictions.csv"), await ask("/v1/predictions.csv")];
    expect([again.body, again.headers["content-type"], again.headers["idempotency-replayed"]]).toEqual([
      first.body,
      "text/csv; charset=utf-8; header=present",
      "?1",
    ]);
    expect((await ask("/v1/predictions.csv", { accept: "text/markdown" })).statusCode).toBe(422);
    expect((await ask("/v1/predictions")).statusCode).toBe(422);
  });

  it("has one row for a pack of which nothing is said, with the runs that are needed", async () => {
    const answer = await predict({ steps: [{ seconds: 60, currentA: 250 }] }, ".csv");
    const rows = parse(answer.body, { columns: true, record_delimiter: "\r\n" }) as Record<string, string>[];
    expect(rows).toHaveLength(1);
    expect(rows[0]).toMatchObject({ pack: packId, of: "mean", holds: "", "time [s]": "" });
    expect(rows[0]?.needed).toMatch(/full load/);
  });
});

describe("a prediction in other forms", () => {
  const payload = () => ({ packIds: [packId], use: { steps: [{ seconds: 60, currentA: 50 }] }, of: "mean" });
  const ask = (url: string, headers = {}) =>
    app.inject({ method: "POST", url, payload: payload(), headers: { ...headers } });

  it.each([
    ["csv", "text/csv"],
    ["md", "text/markdown"],
    ["svg", "image/svg+xml"],
    ["png", "image/png"],
  ])("is the same by the ending .%s as by Accept", async (ending, accept) => {
    const byEnding = await ask(`/v1/predictions.${ending}`);
    const byAccept = await ask("/v1/predictions", { accept });
    expect([byEnding.statusCode, byAccept.statusCode]).toEqual([200, 200]);
    expect(byEnding.headers["content-type"]).toContain(accept);
    expect(byAccept.rawPayload.equals(byEnding.rawPayload)).toBe(true);
  });

  // The signature of PNG and the width in its IHDR chunk: ISO/IEC 15948, 5.2 and 11.2.2.
  it("is drawn as wide as it is asked for, with the pack's name in its text", async () => {
    const png = (await ask("/v1/predictions.png?width=400&scale=2")).rawPayload;
    expect(png.subarray(0, 8).toString("latin1")).toBe("\x89PNG\r\n\x1a\n");
    expect(png.readUInt32BE(16)).toBe(800);
    const svg = (await ask("/v1/predictions.svg?width=400")).body;
    expect(svg).toMatch(/<title id="picture-title">[^<]*Sprint under a use of 60 s<\/title>/);
    expect((await ask("/v1/predictions.svg?width=10")).statusCode).toBe(422);
  });

  it("is drawn again for a retry under its key", async () => {
    const headers = { "idempotency-key": '"d1c7d0a4-6f0e-4a52-9d53-5b1d7b1f9b33"' };
    const first = await ask("/v1/predictions.png", headers);
    const again = await ask("/v1/predictions.png", headers);
    expect([again.statusCode, again.headers["content-type"]]).toEqual([200, "image/png"]);
    expect(again.rawPayload.equals(first.rawPayload)).toBe(true);
  });
});

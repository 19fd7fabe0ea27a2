import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { uploadCase } from "../../../../test/support/uploads.js";
import type { ReadingsView } from "./readings.views.js";

let app: TestApp;
let headers: { authorization: string };
let id: string;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  id = (await uploadCase(app, headers, "Sprint", "truth-4s-10hz")).body.id;
});
afterAll(() => app.close());

const ask = (query: string) => app.inject({ url: `/v1/runs/${id}/readings?${query}`, headers });

function valueIn({ readings }: ReadingsView, place: number, quantity: string): number {
  return readings.at(place)?.values.find((one) => one.quantity === quantity)?.value ?? Number.NaN;
}

/** Rows of the whole trace as anybody downloads it. */
async function rows(): Promise<{ t: number; v: number; i: number }[]> {
  const url = `/v1/runs/${id}/trace?channels=voltage,current&points=20000`;
  const { body } = await app.inject({ url, headers: { ...headers, accept: "text/csv" } });
  const lines = body.trim().split("\r\n").slice(1);
  return lines.map((line) => line.split(",").map(Number)).map(([t = 0, v = 0, i = 0]) => ({ t, v, i }));
}

/** Trapezoids between the samples of a stretch whose ends are interpolated. */
function trapezoids(all: { t: number; v: number; i: number }[], from: number, to: number) {
  const at = (t: number) => {
    const k = all.findIndex((row) => row.t >= t);
    const [a, b] = [all[k - 1], all[k]] as [(typeof all)[number], (typeof all)[number]];
    const share = (t - a.t) / (b.t - a.t);
    const power = a.v * a.i + share * (b.v * b.i - a.v * a.i);
    return { t, i: a.i + share * (b.i - a.i), p: power };
  };
  const inside = all.filter(({ t }) => t > from && t < to).map(({ t, v, i }) => ({ t, i, p: v * i }));
  const points = [at(from), ...inside, at(to)];
  let [charge, energy] = [0, 0];
  for (let k = 1; k < points.length; k++) {
    const [a, b] = [points[k - 1], points[k]] as [ReturnType<typeof at>, ReturnType<typeof at>];
    charge += ((b.t - a.t) * (a.i + b.i)) / 2;
    energy += ((b.t - a.t) * (a.p + b.p)) / 2;
  }
  return { charge: charge / 3.6, energy: energy / 3600, power: energy / (to - from) };
}

describe("readings of a run", () => {
  it("are what trapezoids over the downloaded trace give", async () => {
    const all = await rows();
    const read = (await ask("at=20,7.35&span=10..30&cutoff=3.5")).json<ReadingsView>();
    expect(read).toMatchObject({ runId: id, load: null, cutoffVoltsPerCell: 3.5, stop: "cutoff" });
    expect(read.readings.map(({ kind, fromS, toS }) => [kind, fromS, toS])).toEqual([
      ["mark", 19.5, 20.5],
      ["mark", expect.closeTo(6.85, 9), expect.closeTo(7.85, 9)],
      ["span", 10, 30],
      ["cutoff", 0, read.endS],
    ]);
    expect(valueIn(read, 0, "power")).toBeCloseTo(trapezoids(all, 19.5, 20.5).power, 6);
    expect(valueIn(read, 1, "power")).toBeCloseTo(trapezoids(all, 6.85, 7.85).power, 6);
    const span = trapezoids(all, 10, 30);
    expect([valueIn(read, 2, "power"), valueIn(read, 2, "charge"), valueIn(read, 2, "energy")]).toEqual([
      expect.closeTo(span.power, 6),
      expect.closeTo(span.charge, 6),
      expect.closeTo(span.energy, 6),
    ]);
    const toCutoff = trapezoids(all, 0, read.endS);
    expect(valueIn(read, -1, "capacity")).toBeCloseTo(toCutoff.charge, 5);
    expect(valueIn(read, -1, "energy")).toBeCloseTo(toCutoff.energy, 5);
  });

  it("are the same over GraphQL", async () => {
    const rest = (await ask("at=20&span=10..30")).json<ReadingsView>();
    const query = `query($id: ID!) { readings(runId: $id, at: [20], span: ["10..30"]) { runId endS stop cutoffVoltsPerCell
      load { kind value unit } readings { kind fromS toS values { quantity value unit uncertainty bound } } } }`;
    const { body } = await app.graphql(query, { headers, variables: { id } });
    const words = JSON.stringify(body.data?.readings).replaceAll(/"[A-Z][A-Z_]+"/g, (word) => word.toLowerCase());
    expect(JSON.parse(words.replaceAll("current_mean", "current-mean"))).toEqual(rest);
  });

  it.each([
    ["80A", { kind: "current", value: 80, unit: "A" }],
    ["1200W", { kind: "power", value: 1200, unit: "W" }],
    ["0.18ohm", { kind: "resistance", value: 0.18, unit: "ohm" }],
    ["80", { kind: "standard", value: 80, unit: "A" }],
  ])("say how long %s holds, or which of the kind are within reach", async (load, view) => {
    const answer = await ask(`load=${load}`);
    if (answer.statusCode === 200) {
      expect(answer.json().load).toEqual(view);
      expect(valueIn(answer.json(), -1, "runtime")).toBeGreaterThan(10);
    } else {
      expect(answer.json().errors).toEqual([
        { pointer: "/load", message: expect.stringMatching(/from [\d.]+ to [\d.]+ /) },
      ]);
    }
  });

  it.each([
    ["at=5000", "/at", /from 0.5 to \d+/],
    ["at=ten", "/at", /seconds/],
    ["span=30..10", "/span", /10\.\.30/],
    ["cutoff=9", "/cutoff", /from 2.5 to below 4.2 V per cell/],
    ["load=80V", "/load", /80A, 1200W or 0.12ohm/],
    ["load=81", "/load", /standard load/],
    ["load=9999A", "/load", /from [\d.]+ to [\d.]+ A/],
    ["figure=power", "/figure", /not known/],
    [`at=${Array(21).fill(1)}`, "/at", /at most 20/],
  ])("%s is refused, and the problem says what is possible", async (query, pointer, message) => {
    const answer = await ask(query);
    expect([answer.statusCode, answer.json().errors[0]]).toEqual([
      422,
      { pointer, message: expect.stringMatching(message) },
    ]);
  });

  it("of a run that is not public are for its tester", async () => {
    expect((await app.inject(`/v1/runs/${id}/readings`)).statusCode).toBe(404);
  });
});

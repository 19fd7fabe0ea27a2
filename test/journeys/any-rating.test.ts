import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { RunView } from "../../src/features/runs/runs.views.js";
import type { TraceView } from "../../src/features/runs/trace/traces.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { inRestWords } from "../support/graphql-words.js";
import { type Answer, type LogCase, logCase, postForm, register } from "../support/uploads.js";

type Headers = { authorization: string };

/** The same pack under the ratings and labels that a maker could print on it. */
const found = logCase("truth-4s-10hz");
const rated = (ratedCapacityMah: number, labelContinuousC: number | null, labelBurstC: number | null): LogCase => ({
  ...found,
  pack: { ...found.pack, ratedCapacityMah, labelContinuousC, labelBurstC },
});
const MODEST = rated(4500, 30, 60);
const BOLD = rated(7000, 150, 300);
const SILENT = rated(5000, null, null);

let app: TestApp;
let anna: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  mona = await app.signIn("mona", "moderator");
  // A stronger and a weaker rival, so that a place says something.
  for (const [name, fixture] of [
    ["Rival", "jitter-25hz"],
    ["Other", "plain-20hz"],
  ] as const)
    await accept(await upload(name, logCase(fixture)));
});
afterAll(() => app.close());

async function upload(name: string, one: LogCase): Promise<Answer> {
  const { packId: _, ...ids } = await register(app, anna, name, one);
  const run = { protocol: "full-load", ...ids, ...one.conditions };
  return postForm(`${app.url}/v1/runs`, run, one.log, { headers: anna });
}

async function decide({ body }: Answer, decision: string): Promise<void> {
  const payload = { decision, rules: [], note: "Looked at." };
  const answer = await app.inject({ method: "POST", url: `/v1/runs/${body.id}/reviews`, payload, headers: mona });
  expect(answer.statusCode).toBe(201);
}
const accept = (run: Answer) => decide(run, "accept");

interface Place {
  readonly place: number;
  readonly placeRange: number[];
  readonly load: number;
  readonly value: number;
  readonly uncertainty: number;
}

/** Where a pack stands in every ranking under a standard load. */
async function placesOf(pack: string): Promise<Record<string, Place>> {
  const places: Record<string, Place> = {};
  for (const figure of ["power-10s", "power-30s", "capacity", "energy"]) {
    const { loads } = (await app.inject({ url: `/v1/rankings/${figure}?standing=all` })).json<{ loads: number[] }>();
    for (const load of loads) {
      const answer = await app.inject({ url: `/v1/rankings/${figure}?standing=all&load=${load}` });
      const { items } = answer.json<{ items: (Place & { pack: { name: string } })[] }>();
      const standing = items.find((one) => one.pack.name === pack);
      if (!standing) continue;
      const { place, placeRange, value, uncertainty } = standing;
      places[`${figure} ${load}`] = { place, placeRange, load, value, uncertainty };
    }
  }
  return places;
}

const translatedOf = (figures: RunView["figures"]) => figures.filter(({ load }) => load !== null);

describe("a pack, whatever is printed on it", () => {
  it("has the same figures under every standard load, to the last digit, and stands at the same place", async () => {
    const runs: Answer[] = [];
    const places: Record<string, Place>[] = [];
    for (const [name, one] of [
      ["Modest", MODEST],
      ["Bold", BOLD],
      ["Silent", SILENT],
    ] as const) {
      const run = await upload(name, one);
      expect([name, run.status, run.body.conformance.verdict]).toEqual([name, 201, "conforming"]);
      await accept(run);
      runs.push(run);
      places.push(await placesOf(name));
      // One measurement counts once, so the next one comes in its place.
      await decide(run, "reject");
    }
    const [modest, ...others] = runs.map(({ body }) => translatedOf(body.figures));
    expect(new Set(modest?.map(({ load }) => load)).size).toBeGreaterThanOrEqual(3);
    for (const other of others) expect(other).toEqual(modest);
    const [placesOfModest, ...placesOfOthers] = places;
    expect(Object.keys(placesOfModest ?? {}).length).toBeGreaterThanOrEqual(6);
    for (const other of placesOfOthers) expect(other).toEqual(placesOfModest);
  });
});

describe("the trace of a run under a standard load", () => {
  let run: Answer;
  let loads: number[];
  const trace = async (query: string) => {
    const answer = await app.inject({ url: `/v1/runs/${run.body.id}/trace?${query}`, headers: anna });
    return { status: answer.statusCode, body: answer.json<TraceView & { errors: { pointer: string }[] }>() };
  };
  const channel = ({ channels }: TraceView, name: string) => channels.find((one) => one.channel === name)?.values ?? [];
  beforeAll(async () => {
    run = await upload("Modest", MODEST);
    const powers = run.body.figures.filter(({ key, load }) => key === "power-10s" && load !== null);
    loads = powers.map(({ load }) => load as number);
  });

  it("is given at each load of the run's figures, and says what these say", async () => {
    expect(loads.length).toBeGreaterThanOrEqual(3);
    for (const load of loads) {
      const { status, body } = await trace(`channels=voltage,current,power&points=20000&load=${load}`);
      expect([status, body.load]).toEqual([200, load]);
      const time = channel(body, "time");
      const after = time.findIndex((at) => at >= 10);
      for (const [name, key] of [
        ["power", "power-10s"],
        ["voltage", "voltage-10s"],
        ["current", "current-10s"],
      ] as const) {
        const figure = run.body.figures.find((one) => one.key === key && one.load === load)?.value ?? Number.NaN;
        expect(Math.abs((channel(body, name)[after] as number) / figure - 1)).toBeLessThan(0.005);
      }
    }
  });

  it("obeys Ohm's law of the load: 3.7 V a cell draws the standard current", async () => {
    for (const load of loads) {
      const { body } = await trace(`channels=voltage,current&points=500&load=${load}`);
      const [time, volts, amperes] = ["time", "voltage", "current"].map((name) => channel(body, name));
      for (const [i, seconds] of (time ?? []).entries()) {
        if (seconds < 0 || (amperes?.[i] ?? 0) === 0) continue;
        expect((volts?.[i] ?? 0) / (amperes?.[i] ?? 0)).toBeCloseTo((4 * 3.7) / load, 6);
      }
    }
  });

  it("differs from that under its own load, which is given without one", async () => {
    const own = (await trace("channels=current")).body;
    expect(own.load).toBeNull();
    expect((await trace(`channels=current&load=${loads[0]}`)).body.channels).not.toEqual(own.channels);
  });

  it("is CSV where that is asked for", async () => {
    const url = `/v1/runs/${run.body.id}/trace?channels=voltage&load=${loads[0]}`;
    const answer = await app.inject({ url, headers: { ...anna, accept: "text/csv" } });
    expect(answer.body.split("\r\n")[0]).toBe("time [s],voltage [V]");
  });

  it("is the same in GraphQL", async () => {
    const query =
      "query($id: ID!, $load: Float) { trace(runId: $id, load: $load) { load points channels { channel unit values } } }";
    const { body } = await app.graphql(query, { variables: { id: run.body.id, load: loads[0] }, headers: anna });
    const { load, points, channels } = (await trace(`load=${loads[0]}`)).body;
    expect(inRestWords(body.data)).toEqual({ trace: { load, points, channels } });
  });

  it.each([
    ["is no standard load", 81],
    ["is out of the run's reach", 8000],
    ["is out of the run's reach on the other side", 1],
    ["is nothing", 0],
  ])("is refused at a load that %s", async (_, load) => {
    const { status, body } = await trace(`load=${load}`);
    expect([status, body.errors[0]?.pointer]).toEqual([422, "/load"]);
  });
});

import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { ComparisonCellView, ComparisonView } from "../../src/features/comparisons/comparisons.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { inRestWords } from "../support/graphql-words.js";
import { uploadCase } from "../support/uploads.js";

type KnownCell = { [Key in keyof ComparisonCellView]: NonNullable<ComparisonCellView[Key]> };

let app: TestApp;
/** The standard load that all three runs reach best, A. */
const COMMON_LOAD = 80;
const runs: string[] = [];
const packs: string[] = [];
/** The standard loads of each run's power at 10 s, A. */
const reached: number[][] = [];
beforeAll(async () => {
  app = await startTestApp();
  const moderator = await app.signIn("mona", "moderator");
  const headers = await app.signIn("anna");
  for (const [name, fixture] of [
    ["Alpha", "truth-4s-10hz"],
    ["Beta", "plain-20hz"],
    ["Gamma", "jitter-25hz"],
  ] as const) {
    const { body } = await uploadCase(app, headers, name, fixture);
    const payload = { decision: "accept", rules: [], note: "Fine." };
    await app.inject({ method: "POST", url: `/v1/runs/${body.id}/reviews`, payload, headers: moderator });
    runs.push(body.id);
    packs.push((body as unknown as { pack: { id: string } }).pack.id);
    const translated = body.figures.filter(({ key, load, bound }) => key === "power-10s" && load && bound === "none");
    reached.push(translated.map(({ load }) => load as number));
  }
});
afterAll(() => app.close());

/** A curve at an instant, on the straight line between its points. */
function valueAt(seconds: number, time: readonly number[], values: readonly number[]): number {
  const next = time.findIndex((at) => at >= seconds);
  const [from, to] = [time[next - 1] as number, time[next] as number];
  const share = (seconds - from) / (to - from);
  return (values[next - 1] as number) * (1 - share) + (values[next] as number) * share;
}

const compare = async (query: string) => (await app.inject({ url: `/v1/comparisons?${query}` })).json<ComparisonView>();

describe("an app without a session", () => {
  it("compares packs in percent of a baseline of its choice", async () => {
    const comparison = await compare(`packs=${packs.join(",")}&baseline=${packs[1]}`);
    expect(comparison.baseline).toBe(packs[1]);
    expect(comparison.columns.map(({ pack }) => pack.name)).toEqual(["Alpha", "Beta", "Gamma"]);
    const rowKeys = comparison.rows.map(({ figure, basis, load }) => `${figure} ${basis} ${load}`);
    expect(comparison.load).toBe(COMMON_LOAD);
    for (const figure of ["power-10s", "voltage-10s", "current-10s", "capacity"]) {
      expect(rowKeys).toEqual(expect.arrayContaining([`${figure} translated ${COMMON_LOAD}`, `${figure} own null`]));
    }
    for (const row of comparison.rows) {
      const baseline = row.cells[1];
      for (const cell of row.cells) {
        const [own, other] = [cell.value, baseline?.value ?? null];
        if (own === null || other === null) {
          expect(cell).toMatchObject({ difference: null, differencePercent: null, distinguishable: null });
          continue;
        }
        const known = cell as KnownCell;
        expect(known.difference).toBeCloseTo(own - other, 9);
        expect(known.differencePercent).toBeCloseTo((100 * (own - other)) / other, 9);
        const joint = 2 * Math.hypot(known.uncertainty, baseline?.uncertainty ?? Number.NaN);
        expect(known.distinguishable).toBe(Math.abs(known.difference) > joint);
      }
      if (baseline?.value !== null) expect(baseline).toMatchObject({ difference: 0, distinguishable: false });
    }
    expect(comparison.curves.map(({ runId, load }) => [runId, load])).toEqual(runs.map((id) => [id, COMMON_LOAD]));
    for (const { time, power } of comparison.curves) expect(time.length).toBe(power.length);
  });

  it("has every column at the common load, first, and the own loads beside it", async () => {
    const { rows, load } = await compare(`runs=${runs[0]},${runs[2]}`);
    const rowsOf = (figure: string) => rows.filter((row) => row.figure === figure);
    expect(rowsOf("power-10s").map((row) => [row.basis, row.load])).toEqual([
      ["translated", load],
      ["own", null],
    ]);
    expect(rowsOf("temperature-rise").map(({ basis }) => basis)).toEqual(["own"]);
    for (const row of rows.filter(({ basis }) => basis === "translated")) expect(row.load).toBe(load);
    for (const { value } of rowsOf("power-10s").flatMap(({ cells }) => cells)) expect(value).toBeGreaterThan(0);
  });

  it("chooses another standard load, and is told by a hole which column does not reach it", async () => {
    const at = async (load: number) => {
      const comparison = await compare(`packs=${packs.join(",")}&load=${load}`);
      expect(comparison.load).toBe(load);
      const row = comparison.rows.find((one) => one.figure === "power-10s" && one.basis === "translated");
      expect(row?.load ?? load).toBe(load);
      expect(comparison.curves.map(({ column }) => column)).toEqual(
        packs.filter((_, i) => typeof row?.cells[i]?.value === "number"),
      );
      return row?.cells.map(({ value }) => value !== null) ?? [];
    };
    for (const load of [63, 100, 125]) expect(await at(load)).toEqual(reached.map((loads) => loads.includes(load)));
    const beyond = await app.inject({ url: `/v1/comparisons?packs=${packs.join(",")}&load=1000` });
    expect([beyond.statusCode, beyond.json<object>()]).toMatchObject([422, { errors: [{ pointer: "/load" }] }]);
  });

  it("does not compare what a standard load and the cutoff fix by themselves", async () => {
    const { rows } = await compare(`packs=${packs.join(",")}`);
    const atCutoff = rows.filter(({ figure }) => figure.endsWith("-cutoff"));
    expect(atCutoff.map(({ figure, load }) => [figure, load])).toEqual([
      ["power-cutoff", null],
      ["voltage-cutoff", null],
      ["current-cutoff", null],
    ]);
  });

  it("draws curves that say what the table says: the power at 10 s within 0.5 %", async () => {
    for (const query of [`packs=${packs.join(",")}`, `runs=${runs.join(",")}`]) {
      for (const load of [COMMON_LOAD, 100]) {
        const { rows, curves, columns } = await compare(`${query}&load=${load}`);
        const row = rows.find((one) => one.figure === "power-10s" && one.load === load);
        expect(curves.length).toBeGreaterThan(1);
        for (const { column, time, power } of curves) {
          const value = row?.cells[columns.findIndex(({ id }) => id === column)]?.value ?? Number.NaN;
          expect(Math.abs(valueAt(10, time, power) / value - 1)).toBeLessThan(0.005);
        }
      }
    }
  });

  it("gets the same comparison from GraphQL", async () => {
    const table = `query($packs: [ID!]!) { comparison(packs: $packs) { baseline load link columns { id kind pack { name } }
      rows { figure unit protocol basis load cells { ...cell } } readings { kind cells { ...cell } } steps { currentA } } }
      fragment cell on ComparisonCell { value uncertainty bound testers runs difference differencePercent
        differenceUncertainty differencePercentUncertainty distinguishable disputed }`;
    const chart = `query($packs: [ID!]!) { comparison(packs: $packs) { curves { column runId load time voltage current power
      charge chargeShare temperature powerBandPercent voltageBandPercent } } }`;
    const read = async (query: string) => {
      const { body } = await app.graphql(query, { variables: { packs } });
      return inRestWords(body.data?.comparison) as object;
    };
    const rest = await compare(`packs=${packs.join(",")}`);
    const columns = rest.columns.map(({ id, kind, pack }) => ({ id, kind, pack: { name: pack.name } }));
    expect({ ...(await read(table)), ...(await read(chart)) }).toEqual({ ...rest, columns });
  });

  it("is told which of several packs and runs are missing, and gets the rest of its query", async () => {
    const missing = "01a2122e-e1a4-753d-899e-c914096834c6";
    const query = `query($packs: [ID!]!, $missing: ID!) {
      lost: pack(id: $missing) { id } comparison(packs: $packs) { baseline } packs(first: 1) { edges { cursor } } }`;
    const { status, body } = await app.graphql(query, { variables: { packs: [...packs, missing], missing } });
    expect(status).toBe(200);
    expect(body.data).toMatchObject({ lost: null, comparison: null, packs: { edges: [{}] } });
    const told = body.errors?.map(({ message, extensions: { code, errors } }) => [message, code, errors]) ?? [];
    expect(told.toSorted()).toEqual([
      ["There is no such pack.", "not-found", undefined],
      [
        `There is no such pack: ${missing}.`,
        "not-found",
        [{ pointer: `/packs/${packs.length}`, message: `${missing} names no pack` }],
      ],
    ]);
    const rest = await app.inject({ url: `/v1/comparisons?runs=${missing},${packs[0]}` });
    expect(rest.json<{ errors: { pointer: string }[] }>().errors.map(({ pointer }) => pointer)).toEqual([
      "/runs/0",
      "/runs/1",
    ]);
  });

  it("walks a ranking page by page without missing or repeating a pack, and sees ties", async () => {
    // One tester makes provisional standings, which have no place: this is about pages.
    await app.database.standing.updateMany({ data: { established: true } });
    const seen: string[] = [];
    let after = "";
    do {
      const answer = await app.inject({ url: `/v1/rankings/power-10s?first=1${after}` });
      const { items, pageInfo } = answer.json<{
        items: { pack: { name: string }; placeRange: number[]; tiedWith: string[] }[];
        pageInfo: { hasNextPage: boolean; endCursor: string };
      }>();
      for (const { pack, placeRange, tiedWith } of items) {
        seen.push(pack.name);
        expect((placeRange[1] as number) - (placeRange[0] as number)).toBe(tiedWith.length);
      }
      after = pageInfo.hasNextPage ? `&after=${pageInfo.endCursor}` : "";
    } while (after);
    expect([...seen].sort()).toEqual(["Alpha", "Beta", "Gamma"]);
  });

  it("narrows a ranking to a class", async () => {
    const names = async (query: string) =>
      (await app.inject({ url: `/v1/rankings/capacity?standing=all&${query}` })).json<{ items: unknown[] }>().items
        .length;
    expect(await names("chemistry=lipo&series=4&capacityMin=4000&capacityMax=6000")).toBe(packs.length);
    expect(await names("chemistry=lifepo4")).toBe(0);
    expect(await names("series=6")).toBe(0);
    expect(await names("capacityMin=6000")).toBe(0);
  });

  it("is told what to mend when it asks for what cannot be", async () => {
    const problem = async (url: string) => {
      const answer = await app.inject({ url });
      return [answer.statusCode, answer.json<{ type: string }>().type];
    };
    expect(await problem("/v1/rankings/beauty")).toEqual([404, "/problems/not-found"]);
    expect(await problem(`/v1/comparisons?packs=${packs[0]}`)).toEqual([422, "/problems/invalid-input"]);
    expect(await problem(`/v1/comparisons?packs=${packs[0]},${packs[1]}&load=81`)).toEqual([
      422,
      "/problems/invalid-input",
    ]);
    expect(await problem("/v1/comparisons")).toEqual([422, "/problems/invalid-input"]);
    expect(await problem(`/v1/comparisons?packs=${packs[0]},${packs[1]}&baseline=${packs[2]}`)).toEqual([
      422,
      "/problems/invalid-input",
    ]);
    expect(await problem(`/v1/comparisons?packs=${packs[0]},nonsense`)).toEqual([404, "/problems/not-found"]);
    expect(await problem("/v1/rankings/capacity?after=nonsense")).toEqual([400, "/problems/invalid-cursor"]);
  });
});

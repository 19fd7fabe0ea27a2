import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { ComparisonCellView, ComparisonView } from "../../src/features/comparisons/comparisons.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

type KnownCell = { [Key in keyof ComparisonCellView]: NonNullable<ComparisonCellView[Key]> };

let app: TestApp;
const runs: string[] = [];
const packs: string[] = [];
beforeAll(async () => {
  app = await startTestApp();
  const moderator = await app.signIn("mona", "moderator");
  const headers = await app.signIn("anna");
  for (const [name, fixture] of [
    ["Alpha", "truth-4s-10hz"],
    ["Beta", "lead-declared"],
    ["Gamma", "jitter-25hz"],
  ] as const) {
    const { body } = await uploadCase(app, headers, name, fixture);
    const payload = { decision: "accept", rules: [], note: "Fine." };
    await app.inject({ method: "POST", url: `/v1/runs/${body.id}/reviews`, payload, headers: moderator });
    runs.push(body.id);
    packs.push((body as unknown as { pack: { id: string } }).pack.id);
  }
});
afterAll(() => app.close());

const compare = async (query: string) => (await app.inject({ url: `/v1/comparisons?${query}` })).json<ComparisonView>();

describe("an app without a session", () => {
  it("compares packs in percent of a baseline of its choice", async () => {
    const comparison = await compare(`packs=${packs.join(",")}&baseline=${packs[1]}`);
    expect(comparison.baseline).toBe(packs[1]);
    expect(comparison.columns.map(({ pack }) => pack.name)).toEqual(["Alpha", "Beta", "Gamma"]);
    const figures = comparison.rows.map(({ figure, basis }) => `${figure} ${basis}`);
    expect(figures).toEqual(
      expect.arrayContaining(["power-10s own", "voltage-10s own", "current-10s own", "temperature-rise own"]),
    );
    expect(figures).toEqual(expect.arrayContaining(["power-10s translated", "capacity translated"]));
    for (const row of comparison.rows) {
      const cells = row.cells as KnownCell[];
      const baseline = cells[1] as KnownCell;
      expect(baseline).toMatchObject({ difference: 0, differencePercent: 0, distinguishable: false });
      for (const cell of cells) {
        expect(cell.difference).toBeCloseTo(cell.value - baseline.value, 9);
        expect(cell.differencePercent).toBeCloseTo((100 * (cell.value - baseline.value)) / baseline.value, 9);
        const joint = 2 * Math.hypot(cell.uncertainty, baseline.uncertainty);
        expect(cell.distinguishable).toBe(Math.abs(cell.difference) > joint);
      }
    }
    expect(comparison.curves.map(({ runId }) => runId)).toEqual(runs);
    for (const { time, power } of comparison.curves) expect(time.length).toBe(power.length);
  });

  it("compares runs under their own loads and under the reference load", async () => {
    const { rows } = await compare(`runs=${runs[0]},${runs[2]}`);
    const rowsOf = (figure: string) => rows.filter((row) => row.figure === figure).map(({ basis }) => basis);
    expect(rowsOf("power-10s")).toEqual(["own", "translated"]);
    expect(rowsOf("temperature-rise")).toEqual(["own"]);
  });

  it("gets the same comparison from GraphQL", async () => {
    const query = `query($packs: String!) { comparison(packs: $packs) { baseline columns { id kind pack { name } }
      rows { figure unit protocol basis cells { value uncertainty difference differencePercent distinguishable } }
      curves { column runId time voltage current power } } }`;
    const { body } = await app.graphql(query, { variables: { packs: packs.join(",") } });
    const rest = await compare(`packs=${packs.join(",")}`);
    const columns = rest.columns.map(({ id, kind, pack }) => ({ id, kind, pack: { name: pack.name } }));
    expect(body.data).toEqual({ comparison: { ...rest, columns } });
  });

  it("walks a ranking page by page without missing or repeating a pack, and sees ties", async () => {
    const seen: string[] = [];
    let after = "";
    do {
      const answer = await app.inject({ url: `/v1/rankings/capacity?first=1${after}` });
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
      (await app.inject({ url: `/v1/rankings/capacity?${query}` })).json<{ items: unknown[] }>().items.length;
    expect(await names("chemistry=lipo&series=4&capacityMin=4000&capacityMax=6000")).toBe(2);
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
    expect(await problem("/v1/comparisons")).toEqual([422, "/problems/invalid-input"]);
    expect(await problem(`/v1/comparisons?packs=${packs[0]},${packs[1]}&baseline=${packs[2]}`)).toEqual([
      422,
      "/problems/invalid-input",
    ]);
    expect(await problem(`/v1/comparisons?packs=${packs[0]},nonsense`)).toEqual([404, "/problems/not-found"]);
    expect(await problem("/v1/rankings/capacity?after=nonsense")).toEqual([400, "/problems/invalid-cursor"]);
  });
});

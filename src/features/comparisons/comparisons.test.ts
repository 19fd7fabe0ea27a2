import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { parse } from "csv-parse/sync";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { readSvg } from "../../../test/support/pictures/read-svg.js";
import { uploadCase } from "../../../test/support/uploads.js";
import type { ReadingsView } from "../runs/readings/readings.views.js";
import { TracesService } from "../runs/trace/traces.service.js";
import type { ComparisonView } from "./comparisons.views.js";

let app: TestApp;
let headers: { authorization: string };
let runs: readonly string[];
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  runs = [
    (await uploadCase(app, headers, "Sprint", "truth-4s-10hz")).body.id,
    (await uploadCase(app, headers, "Ridge", "plain-20hz")).body.id,
  ];
});
afterAll(() => app.close());

const ask = (query: string) => app.inject({ url: `/v1/comparisons?runs=${runs}&${query}`, headers });

describe("a comparison of runs", () => {
  it("begins with the marks, each in W, V and A", async () => {
    const { rows, load } = (await ask("")).json<ComparisonView>();
    const keys = rows.filter((row) => row.load === load && row.protocol === "full-load").map(({ figure }) => figure);
    expect(keys.slice(0, 6)).toEqual([
      "power-peak",
      "voltage-peak",
      "current-peak",
      "power-10s",
      "voltage-10s",
      "current-10s",
    ]);
  });

  // JCGM 100, 5.1.2: independent estimates.
  it("says how well each difference is known, in value and in percent", async () => {
    const { rows } = (await ask("")).json<ComparisonView>();
    const row = rows.find(({ figure, basis }) => figure === "capacity" && basis === "own");
    const [baseline, other] = row?.cells ?? [];
    if (!baseline || !other) throw new Error("no capacity");
    const [a, b] = [baseline, other].map(({ value, uncertainty }) => [value as number, uncertainty as number] as const);
    if (!a || !b) throw new Error("no capacity");
    expect(baseline).toMatchObject({ difference: 0, differenceUncertainty: 0, testers: 1, runs: 1, bound: "none" });
    expect(other.differenceUncertainty).toBeCloseTo(Math.hypot(a[1], b[1]), 9);
    const ratio = b[0] / a[0];
    expect(other.differencePercentUncertainty).toBeCloseTo(100 * ratio * Math.hypot(a[1] / a[0], b[1] / b[0]), 9);
  });

  it("reads all at marks, spans and a cutoff of choice under the common load, as readings of each run do", async () => {
    const comparison = (await ask("at=20&span=10..30&cutoff=3.5")).json<ComparisonView>();
    const own = await Promise.all(
      runs.map(async (id) => {
        const url = `/v1/runs/${id}/readings?at=20&span=10..30&cutoff=3.5&load=${comparison.load}`;
        return (await app.inject({ url, headers })).json<ReadingsView>();
      }),
    );
    const power = comparison.readings.find(({ kind, quantity }) => kind === "span" && quantity === "power");
    const expected = own.map(({ readings }) => readings[1]?.values.find(({ quantity }) => quantity === "power")?.value);
    expect(power?.cells.map(({ value }) => value)).toEqual(expected);
    expect(comparison.readings.some(({ kind, toS }) => kind === "cutoff" && toS === null)).toBe(true);
  });

  it("has a link that gives the same answer, with all that was chosen written out", async () => {
    const asked = (await ask(`baseline=${runs[1]}&at=20,25&points=50`)).json<ComparisonView>();
    expect(asked.link).toBe(`/v1/comparisons?runs=${runs}&baseline=${runs[1]}&load=${asked.load}&at=20,25&points=50`);
    expect((await app.inject({ url: asked.link, headers })).json()).toEqual(asked);
  });

  it("has curves of as many points as asked, with temperature, share of charge and a band", async () => {
    const { curves } = (await ask("points=60")).json<ComparisonView>();
    expect(curves.length).toBe(2);
    for (const curve of curves) {
      expect(curve.time.length).toBeLessThanOrEqual(60);
      expect([curve.chargeShare[0], curve.chargeShare.at(-1)]).toEqual([0, 1]);
      expect([0, curve.time.length]).toContain(curve.temperature.length);
      expect(curve.powerBandPercent).toBeGreaterThan(0.1);
      expect(curve.powerBandPercent).toBeLessThan(5);
    }
    expect(curves.some(({ temperature }) => temperature.length > 0)).toBe(true);
  });

  it("refuses readings of packs, which are of runs", async () => {
    const packs = (await app.inject("/v1/packs")).json<{ items: { id: string }[] }>().items.map(({ id }) => id);
    const answer = await app.inject(`/v1/comparisons?packs=${packs}&at=20`);
    expect([answer.statusCode, answer.json().errors?.[0]?.pointer]).toEqual([422, "/at"]);
  });
});

describe("a comparison over GraphQL", () => {
  const QUERY = `query ($runs: [ID!], $marks: [Float!], $spans: [String!], $at: String, $span: String) {
    comparison(runs: $runs, marks: $marks, spans: $spans, at: $at, span: $span) {
      link readings { kind fromS toS quantity cells { value } }
    }
  }`;
  const compare = async (variables: object) => {
    const { body } = await app.graphql(QUERY, { variables: { runs, ...variables }, headers });
    return { comparison: body.data?.comparison, errors: body.errors?.[0]?.extensions.errors };
  };

  it("takes marks and spans as lists, and as the strings of a link", async () => {
    const listed = await compare({ marks: [20, 7.35], spans: ["10..30", "40..60"] });
    expect(listed.errors).toBeUndefined();
    expect(listed).toEqual(await compare({ at: "20,7.35", span: "10..30,40..60" }));
    const { readings } = (await ask("at=20,7.35&span=10..30,40..60")).json<ComparisonView>();
    expect(listed.comparison).toMatchObject({ readings: { length: readings.length } });
    expect(readings.length).toBeGreaterThan(0);
    expect(await compare({ marks: [], spans: [] })).toEqual(await compare({}));
  });

  it.each([
    [{ marks: [20], at: "20" }, "/marks"],
    [{ spans: ["10..30"], span: "10..30" }, "/spans"],
    [{ marks: [-1] }, "/marks"],
    [{ spans: ["30..10"] }, "/spans"],
    [{ at: "-1" }, "/at"],
    [{ span: "30..10" }, "/span"],
    [{ marks: Array.from({ length: 21 }, (_, index) => index) }, "/marks"],
  ])("names what cannot be read as it was sent: %j", async (sent, pointer) => {
    expect((await compare(sent)).errors).toMatchObject([{ pointer }]);
  });
});

describe("the tables of a comparison", () => {
  it("are CSV with a row for each figure of each run", async () => {
    const comparison = (await ask("")).json<ComparisonView>();
    const url = `/v1/comparisons.csv?runs=${runs}`;
    const answer = await app.inject({ url, headers });
    expect(answer.headers["content-type"]).toMatch(/^text\/csv; charset=utf-8/);
    const rows: Record<string, string>[] = parse(answer.body, { columns: true });
    const known = comparison.rows.flatMap(({ cells }) => cells.filter(({ value }) => value !== null));
    expect(rows.map(({ value, uncertainty }) => [Number(value), Number(uncertainty)])).toEqual(
      known.map(({ value, uncertainty }) => [value, uncertainty]),
    );
    expect(rows[0]).toMatchObject({ figure: "power-peak", unit: "W", protocol: "full-load", tester: "anna" });
  });

  it("are Markdown in percent of the baseline, with where they come from", async () => {
    const { link, rows } = (await ask("")).json<ComparisonView>();
    const answer = await app.inject({ url: `/v1/comparisons.md?runs=${runs}`, headers });
    expect(answer.headers["content-type"]).toMatch(/^text\/markdown; charset=utf-8/);
    const lines = answer.body.split("\n").filter((line) => line.startsWith("|"));
    expect(lines.every((line) => line.split(/(?<!\\)\|/).length === 2 + 1 + runs.length)).toBe(true);
    expect(lines.length).toBe(rows.length + 2 * new Set(rows.map(({ load }) => load)).size);
    expect(answer.body).toMatch(/\(baseline\)/);
    expect(answer.body).toMatch(/± [\d.]+ \([+−][\d.]+ %/);
    expect(answer.body).toContain(`${link}>`);
  });

  it("have what was read at marks, spans and a cutoff of choice", async () => {
    const query = "at=20,7.35&span=10..30&cutoff=3.5";
    const { readings } = (await ask(query)).json<ComparisonView>();
    const csv = (await app.inject({ url: `/v1/comparisons.csv?runs=${runs}&${query}`, headers })).body;
    const rows: Record<string, string>[] = parse(csv, { columns: true });
    const of = (kind: string, quantity: string, fromS: number) =>
      readings
        .find((one) => one.kind === kind && one.quantity === quantity && Math.abs(one.fromS - fromS) < 1e-9)
        ?.cells.map(({ value }) => String(value));
    const values = (name: string) => rows.filter(({ figure }) => figure === name).map(({ value }) => value);
    expect(values("power at 20 s")).toEqual(of("mark", "power", 19.5));
    expect(values("voltage at 7.35 s")).toEqual(of("mark", "voltage", 6.85));
    expect(values("energy from 10 to 30 s")).toEqual(of("span", "energy", 10));
    expect(values("runtime to the cutoff")).toEqual(of("cutoff", "runtime", 0));
    const markdown = (await app.inject({ url: `/v1/comparisons.md?runs=${runs}&${query}`, headers })).body;
    expect(markdown).toMatch(/\*\*Read where you chose, at the standard load of \d+ A\*\*/);
    expect(markdown).toMatch(/\| power at 20 s \[W\] \| \d+ ± /);
  });

  it("are made without reading a trace, which only curves need", async () => {
    const traces = app.nest.get(TracesService);
    const { get } = traces;
    let reads = 0;
    traces.get = (...args) => {
      reads++;
      return get.apply(traces, args);
    };
    for (const kind of ["csv", "md"])
      expect((await app.inject({ url: `/v1/comparisons.${kind}?runs=${runs}`, headers })).statusCode).toBe(200);
    expect(reads).toBe(0);
    await ask("");
    expect(reads).toBe(4);
    traces.get = get;
  });

  it("are drawn, as text that a reader of XML takes and as PNG, also by Accept", async () => {
    const svg = await app.inject({ url: `/v1/comparisons.svg?runs=${runs}&width=400`, headers });
    expect(svg.headers["content-type"]).toBe("image/svg+xml; charset=utf-8");
    const { columns, link } = (await ask("")).json<ComparisonView>();
    const texts = readSvg(svg.body).map(({ text }) => text);
    for (const { pack } of columns) expect(texts.some((text) => text.includes(pack.name))).toBe(true);
    expect(readSvg(svg.body)[0]?.attributes.width).toBe("400");
    expect(texts.find((text) => text.includes("CC BY 4.0"))).toBeTruthy();
    expect(texts.join("")).toContain(link.slice(0, 30));
    const accept = "image/png";
    const png = await app.inject({ url: `/v1/comparisons?runs=${runs}&width=400`, headers: { ...headers, accept } });
    expect([png.headers["content-type"], png.headers.vary]).toEqual(["image/png", expect.stringMatching(/accept/i)]);
    expect(png.rawPayload.subarray(1, 4).toString("latin1")).toBe("PNG");
    const again = { ...headers, accept, "if-none-match": String(png.headers.etag) };
    expect((await app.inject({ url: `/v1/comparisons?runs=${runs}&width=400`, headers: again })).statusCode).toBe(304);
    const wrong = await app.inject({
      url: `/v1/comparisons.svg?runs=${runs}`,
      headers: { ...headers, accept: "text/csv" },
    });
    expect(wrong.statusCode).toBe(406);
  });

  it("are answered 304 to who has them", async () => {
    const url = `/v1/comparisons.md?runs=${runs}`;
    const { etag } = (await app.inject({ url, headers })).headers;
    const again = { ...headers, "if-none-match": String(etag) };
    expect((await app.inject({ url, headers: again })).statusCode).toBe(304);
  });
});

describe("a comparison of specimens", () => {
  let specimens: readonly string[];
  beforeAll(async () => {
    const query = `/v1/comparisons?specimens=${runs}`;
    expect((await app.inject({ url: query })).statusCode).toBe(404);
    await app.database.run.updateMany({ where: { id: { in: [...runs] } }, data: { review: "accepted" } });
    const { columns } = (await ask("")).json<ComparisonView>();
    specimens = columns.map(({ specimen }) => specimen?.id ?? "");
  });
  const compare = (query: string) => app.inject({ url: `/v1/comparisons?specimens=${specimens}&${query}` });

  it("shows each by its accepted runs: of one run, what that run shows", async () => {
    const answer = await compare("");
    const { columns, rows, curves, load, link } = answer.json<ComparisonView>();
    const ofRuns = (await ask("")).json<ComparisonView>();
    expect(columns.map(({ kind, id, specimen }) => [kind, id, specimen?.label])).toEqual([
      ["specimen", specimens[0], "Sprint no. 1"],
      ["specimen", specimens[1], "Ridge no. 1"],
    ]);
    expect([rows, load]).toEqual([ofRuns.rows, ofRuns.load]);
    expect(curves.map(({ runId }) => runId)).toEqual(runs);
    expect(link).toBe(`/v1/comparisons?specimens=${specimens}&baseline=${specimens[0]}&load=${load}`);
    const csv = await app.inject({ url: `/v1/comparisons.csv?specimens=${specimens}` });
    const lines: Record<string, string>[] = parse(csv.body, { columns: true });
    expect(new Set(lines.map(({ specimen }) => specimen))).toEqual(new Set(["Sprint no. 1", "Ridge no. 1"]));
    const query = `query ($s: [ID!]) { comparison(specimens: $s) { load columns { kind specimen { label } } } }`;
    const payload = { query, variables: { s: specimens } };
    const graphql = await app.inject({ method: "POST", url: "/graphql", payload });
    expect(graphql.json().data.comparison).toEqual({
      load,
      columns: columns.map(({ kind, specimen }) => ({
        kind: kind.toUpperCase(),
        specimen: { label: specimen?.label },
      })),
    });
  });

  it("refuses readings, and a load that none of them reaches with those that are possible", async () => {
    const { load } = (await compare("")).json<ComparisonView>();
    const errorOf = async (query: string) => {
      const answer = await compare(query);
      return [answer.statusCode, answer.json().errors?.[0]];
    };
    expect(await errorOf("at=20")).toMatchObject([422, { pointer: "/at", message: expect.stringContaining("runs") }]);
    const beyond = { pointer: "/load", message: expect.stringContaining(`${load}`) };
    expect(await errorOf("load=1000")).toMatchObject([422, beyond]);
  });

  it("is answered 304 until a run of theirs changes", async () => {
    const { etag } = (await compare("")).headers;
    const again = () =>
      app.inject({ url: `/v1/comparisons?specimens=${specimens}&`, headers: { "if-none-match": String(etag) } });
    expect((await again()).statusCode).toBe(304);
    await app.database.specimen.update({ where: { id: specimens[0] as string }, data: { label: "relabelled" } });
    expect((await again()).statusCode).toBe(200);
  });
});

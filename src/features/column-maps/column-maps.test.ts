import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { type Answer, answerOf, logCase, postForm, register } from "../../../test/support/uploads.js";
import { EvaluationsService } from "../runs/evaluation/evaluations.service.js";
import { ColumnMapsRepository } from "./column-maps.repository.js";

/** The log of a bench that gives its columns no name and no unit of their own. */
const found = logCase("plain-20hz");
const text = Buffer.from(found.log).toString("utf8");
const given = (text.split(/\r?\n/, 1)[0] ?? "").split(",");
const bare = given.map((_, index) => `x${index}`);
const bareLog = Uint8Array.from(Buffer.from(text.replace(given.join(","), bare.join(","))));
const at = (word: RegExp) => bare[given.findIndex((cell) => word.test(cell))] ?? "";
const columns = {
  time: { name: at(/time/i), unit: "s" },
  voltage: { name: at(/volt/i), unit: "V" },
  current: { name: at(/curr/i), unit: "A" },
};
const map = { label: "Shed logger", header: bare, columns };

/** The same log as a bench writes it that counts in mV, in tens of amperes, and discharge as negative. */
const raw = (() => {
  const header = given.map((_, index) => `raw ${index}`);
  const rows = text
    .trimEnd()
    .split(/\r?\n/)
    .slice(1)
    .map((row) => {
      const [time = "", volts = "", amperes = "", ...others] = row.split(",");
      return [time, 1000 * Number(volts), -Number(amperes) / 10, ...others].join(",");
    });
  return { header, log: Uint8Array.from(Buffer.from(`${[header.join(","), ...rows].join("\n")}\n`)) };
})();

let app: TestApp;
let anna: { authorization: string };
let bert: { authorization: string };
let reference: Answer;
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  bert = await app.signIn("bert");
  reference = await upload("Reference", { columns });
});
afterAll(() => app.close());

const ask = (method: "get" | "post" | "delete", path: string, body?: object, headers = anna) =>
  answerOf(request(app.url)[method](path).set(headers).send(body));
const save = (body: object, headers = anna) => ask("post", "/v1/column-maps", body, headers);

async function upload(packName: string, more: object = {}, log = bareLog, headers = anna): Promise<Answer> {
  const { packId: _, ...ids } = await register(app, headers, packName, found);
  return postForm(`${app.url}/v1/runs`, { protocol: "full-load", ...ids, ...found.conditions, ...more }, log, {
    headers,
  });
}

function check(headers: object, more: object = {}, log = bareLog): Promise<Answer> {
  const described = { pack: { ...found.pack, maker: "Any", name: "Any" }, bench: { ...found.bench, label: "Any" } };
  const run = { protocol: "full-load", ...described, ...found.conditions, ...more };
  return postForm(`${app.url}/v1/checks`, run, log, { headers });
}

const reasonsOf = ({ body }: Answer) =>
  (body.log as unknown as { columns: { channel: string | null; reason: string }[] }).columns
    .filter(({ channel }) => channel)
    .map(({ reason }) => reason);

describe("a saved column map", () => {
  let id: string;

  it("is saved, listed, read and removed, alike in both APIs", async () => {
    const saved = await save(map);
    id = saved.body.id;
    expect([saved.status, saved.headers.location]).toEqual([201, `/v1/column-maps/${id}`]);
    expect(saved.body).toEqual({ id, ...map });
    expect((await ask("get", `/v1/column-maps/${id}`)).body).toEqual(saved.body);
    const { body } = await app.graphql(
      "{ columnMaps(first: 1) { edges { node { id label header columns } } pageInfo { hasNextPage } } }",
      { headers: anna },
    );
    expect(body.data).toEqual({ columnMaps: { edges: [{ node: { id, ...map } }], pageInfo: { hasNextPage: false } } });
    const input = { ...map, label: "Second", header: [...bare, "more"] };
    const created = await app.graphql(
      "mutation($input: ColumnMapInput!) { createColumnMap(input: $input) { id label } }",
      { variables: { input }, headers: anna },
    );
    const second = (created.body.data as { createColumnMap: { id: string } }).createColumnMap.id;
    const removed = await app.graphql("mutation($id: ID!) { deleteColumnMap(id: $id) { label } }", {
      variables: { id: second },
      headers: anna,
    });
    expect(removed.body.data).toEqual({ deleteColumnMap: { label: "Second" } });
    expect((await ask("get", `/v1/column-maps/${second}`)).status).toBe(404);
  });

  it("stands once for a header row and an account", async () => {
    const again = await save({ ...map, label: "Another" });
    expect([again.status, again.body.type]).toEqual([409, "/problems/already-exists"]);
    expect(again.body).toMatchObject({ existingId: id, errors: [{ pointer: "/header" }] });
    const theirs = await save(map, bert);
    expect(theirs.status).toBe(201);
    expect((await ask("delete", `/v1/column-maps/${theirs.body.id}`, undefined, anna)).status).toBe(404);
    expect((await ask("delete", `/v1/column-maps/${theirs.body.id}`, undefined, bert)).status).toBe(204);
  });

  it("is applied by itself to an upload and a check of its owner, and says so", async () => {
    const run = await upload("Mapped");
    expect(run.status).toBe(201);
    expect(reasonsOf(run)).toEqual(Array(3).fill("named by your saved column map Shed logger"));
    expect(run.body.figures).toEqual(reference.body.figures);
    expect(reasonsOf(await check(anna))).toEqual(Array(3).fill("named by your saved column map Shed logger"));
  });

  it("is not applied for another, without a session, to another header, or where a map was sent", async () => {
    for (const answer of [await check(bert), await check({})]) {
      expect([answer.status, answer.body.type]).toEqual([422, "/problems/log-column-missing"]);
    }
    const other = Uint8Array.from(Buffer.from(Buffer.from(bareLog).toString("utf8").replace("x0", "y0")));
    expect((await upload("Other header", {}, other)).body.type).toBe("/problems/log-column-missing");
    expect(reasonsOf(await check(anna, { columns }))).toEqual(Array(3).fill("named by the column map"));
  });

  it("stays with the run that it was applied to, which is computed again from it when the map is gone", async () => {
    const run = await upload("Mapped");
    expect((await ask("delete", `/v1/column-maps/${id}`)).status).toBe(204);
    const stored = await app.database.run.findUniqueOrThrow({ where: { id: run.body.id } });
    expect(stored).toMatchObject({ columns, columnsLabel: "Shed logger" });
    await app.database.run.update({ where: { id: run.body.id }, data: { state: "processing" } });
    await app.nest.get(EvaluationsService).evaluateRun(run.body.id);
    const again = await ask("get", `/v1/runs/${run.body.id}`);
    expect(again.body).toEqual(run.body);
    expect(await app.database.evaluation.count({ where: { runId: run.body.id } })).toBe(2);
  });

  it.each([
    ["a column that is not in the header row", { columns: { voltage: "U" } }, "/columns/voltage"],
    ["a column that stands twice", { header: ["a", "a"], columns: { voltage: "a" } }, "/columns/voltage"],
    ["a channel that there is not", { columns: { speed: "x0" } }, "/columns/speed"],
    ["a unit that there is not", { columns: { voltage: { name: "x0", unit: "furlong" } } }, "/columns/voltage/unit"],
    ["no column", { columns: {} }, "/columns"],
    ["no label", { label: " " }, "/label"],
    ["no header", { header: "x0" }, "/header"],
  ])("is refused for %s", async (_, more, pointer) => {
    const answer = await save({ ...map, ...more });
    expect([answer.status, answer.body.type]).toEqual([422, "/problems/invalid-input"]);
    expect(answer.body.errors.map((fault) => fault.pointer)).toContain(pointer);
  });

  it("names columns by number, with factor and sign, and is applied so to checks and uploads", async () => {
    const numbered = {
      time: { column: 1, unit: "s" },
      voltage: { column: 2, unit: "V", factor: 0.001 },
      current: { column: 3, unit: "A", factor: 10, sign: "discharge-negative" },
      temperature: null,
    };
    const dora = await app.signIn("dora");
    const saved = await save({ label: "Raw logger", header: raw.header, columns: numbered }, dora);
    expect([saved.status, saved.body]).toMatchObject([201, { columns: numbered }]);
    const sent = await check({}, { columns: numbered }, raw.log);
    for (const answer of [sent, await check(dora, {}, raw.log), await upload("Raw", {}, raw.log, dora)]) {
      expect(answer.body.errors).toBeUndefined();
      expect([200, 201]).toContain(answer.status);
      const voltage = (one: Answer) => one.body.figures.find(({ key, load }) => key === "voltage-10s" && load === null);
      const current = (one: Answer) => one.body.figures.find(({ key, load }) => key === "current-10s" && load === null);
      expect(voltage(answer)?.value).toBeCloseTo(voltage(reference)?.value ?? Number.NaN, 6);
      expect(current(answer)?.value).toBeCloseTo(current(reference)?.value ?? Number.NaN, 6);
    }
    const turned = { ...numbered, current: { ...numbered.current, sign: "discharge-positive" } };
    expect((await check({}, { columns: turned }, raw.log)).status).toBe(422);
    const doubled = { ...numbered, voltage: { ...numbered.voltage, factor: 0.002 } };
    const twice = await check({}, { columns: doubled }, raw.log);
    expect(twice.status === 422 || twice.body.conformance.verdict === "nonconforming").toBe(true);
  });

  it.each([
    ["a column past the header row", { columns: { voltage: { column: 99 } } }, "/columns/voltage"],
    ["column 0", { columns: { voltage: { column: 0 } } }, "/columns/voltage/column"],
    ["half a column", { columns: { voltage: { column: 1.5 } } }, "/columns/voltage/column"],
    ["a factor of 0", { columns: { voltage: { name: "x1", factor: 0 } } }, "/columns/voltage/factor"],
    ["a negative factor", { columns: { voltage: { name: "x1", factor: -1 } } }, "/columns/voltage/factor"],
    [
      "a sign of the voltage",
      { columns: { voltage: { name: "x1", sign: "discharge-positive" } } },
      "/columns/voltage/sign",
    ],
    ["a sign that there is not", { columns: { current: { name: "x2", sign: "minus" } } }, "/columns/current/sign"],
  ])("is refused for %s, as is a check with it", async (_, more, pointer) => {
    const saved = await save({ ...map, header: bare, ...more });
    expect([saved.status, saved.body.errors.map((fault) => fault.pointer)]).toEqual([422, [pointer]]);
    if (pointer === "/columns/voltage") return;
    const checked = await check({}, more);
    expect([checked.status, checked.body.errors.map((fault) => fault.pointer)]).toEqual([422, [pointer]]);
  });

  it("is one of a hundred at most", async () => {
    const carol = await app.signIn("carol");
    const numbered = (n: number) => ({ ...map, header: [...bare, `h${n}`] });
    const { id: ownerId } = await app.database.account.findFirstOrThrow({ where: { handle: "carol" } });
    for (let n = 1; n < 100; n++) await app.nest.get(ColumnMapsRepository).create(numbered(n), ownerId);
    expect((await save(numbered(100), carol)).status).toBe(201);
    const over = await save(map, carol);
    expect([over.status, over.body.type]).toEqual([409, "/problems/limit-reached"]);
  });

  it("needs a session", async () => {
    expect((await request(app.url).get("/v1/column-maps")).status).toBe(401);
  });
});

describe("a log whose columns are open", () => {
  type Proposal = { columns: object; candidates: { channel: string; columns: object }[] };

  it("is answered with maps, each of which can be sent as it is until the log is read", async () => {
    let answer = await check({});
    const asked: string[] = [];
    while (answer.status === 422) {
      const { candidates } = answer.body as unknown as Proposal;
      const wanted = columns[candidates[0]?.channel as keyof typeof columns];
      const chosen = candidates.find((candidate) =>
        Object.values(candidate.columns).some((wish) => JSON.stringify(wish) === JSON.stringify(wanted)),
      );
      asked.push(String(chosen?.channel));
      answer = await check({}, { columns: chosen?.columns });
    }
    expect([answer.status, asked]).toEqual([200, ["time", "voltage", "current"]]);
    expect(answer.body.figures).toEqual(reference.body.figures);
  });

  it("keeps them with the run, in both APIs", async () => {
    const refused = await upload("Open");
    const { columns: settled, candidates } = refused.body as unknown as Proposal;
    expect(candidates[0]).toEqual({ channel: "time", columns: { time: { name: "x0", unit: "s" } } });
    const kept = await ask("get", `/v1/runs/${refused.body.runId}`);
    expect(kept.body).toMatchObject({
      state: "failed",
      error: { code: "log-column-missing", columns: settled, candidates },
    });
    const { body } = await app.graphql(
      "query($id: ID!) { run(id: $id) { error { code message errors { line column message } columns candidates { channel columns } } } }",
      { variables: { id: refused.body.runId }, headers: anna },
    );
    expect(inRestWords(body.data)).toMatchObject({
      run: { error: { code: "log-column-missing", columns: settled, candidates } },
    });
  });
});

import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { type Answer, logCase, postForm, register } from "../support/uploads.js";

/** Two runs in one file, as a logger that was never stopped writes them: the second begins an hour after the first. */
const BREAK_S = 3600;
const first = logCase("truth-4s-10hz");
const second = logCase("jitter-25hz");
const linesOf = (log: Uint8Array) => Buffer.from(log).toString("utf8").trimEnd().split(/\r?\n/);
const [header = "", ...rows] = linesOf(first.log);
const later = linesOf(second.log)
  .slice(1)
  .map((row) => row.replace(/^[^,]*/, (time) => (Number(time) + BREAK_S).toFixed(3)));
const log = Uint8Array.from(Buffer.from(`${[header, ...rows, ...later].join("\n")}\n`));

let app: TestApp;
let anna: { authorization: string };
let mona: { authorization: string };
let ids: { specimenId: string; benchId: string };
/** What each of both gives in a log of its own. */
const alone: Answer[] = [];
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  mona = await app.signIn("mona", "moderator");
  const { packId: _, ...registered } = await register(app, anna, "Twice", first);
  ids = registered;
  for (const one of [first, second]) alone.push(await checkOf(one.log, {}));
});
afterAll(() => app.close());

const upload = (more: object) =>
  postForm(`${app.url}/v1/runs`, { protocol: "full-load", ...ids, ...first.conditions, ...more }, log, {
    headers: anna,
  });

function checkOf(bytes: Uint8Array, more: object): Promise<Answer> {
  const described = { pack: { ...first.pack, maker: "Any", name: "Any" }, bench: { ...first.bench, label: "Any" } };
  const run = { protocol: "full-load", ...described, ...first.conditions, ...more };
  return postForm(`${app.url}/v1/checks`, run, bytes);
}

const decide = async (id: string, decision: string) => {
  await app.nest.get(CopiesService).awaitCheck(id);
  const payload = { decision, rules: [], note: "Looked at." };
  return app.inject({ method: "POST", url: `/v1/runs/${id}/reviews`, payload, headers: mona });
};

describe("a log with two discharges", () => {
  it("is refused with the list of both, in a check and in an upload", async () => {
    for (const answer of [await checkOf(log, {}), await upload({})]) {
      expect([answer.status, answer.body.type]).toEqual([422, "/problems/log-several-discharges"]);
      expect(answer.body.detail).toContain('"discharge": 1');
      expect(answer.body.errors.map(({ message }) => message.slice(0, 12))).toEqual(["discharge 1:", "discharge 2:"]);
      const [one, two] = answer.body.errors.map(({ line }) => line ?? 0);
      // The header is line 1; the second discharge lies below all rows of the first.
      expect(one).toBeGreaterThan(1);
      expect(two).toBeGreaterThan(rows.length + 1);
    }
  });

  it("is read from the discharge that is named, with the figures that it gives by itself", async () => {
    for (const discharge of [1, 2]) {
      const { status, body } = await checkOf(log, { discharge });
      const expected = alone[discharge - 1]?.body.figures ?? [];
      expect([status, expected.length > 20]).toEqual([200, true]);
      const keys = (figures: typeof body.figures) => figures.map(({ key, load }) => `${key} ${load}`);
      expect(keys(body.figures)).toEqual(keys(expected));
      for (const [i, figure] of body.figures.entries()) {
        const same = expected[i]?.value ?? Number.NaN;
        expect(Math.abs(figure.value - same)).toBeLessThanOrEqual(1e-6 * Math.abs(same));
      }
      expect(body.adjustments.map(({ kind }) => kind)).toContain("loads-passed-over");
    }
  });

  it.each([
    [3, "/problems/log-several-discharges"],
    [0, "/problems/invalid-input"],
    [1.5, "/problems/invalid-input"],
    ["2", "/problems/invalid-input"],
  ])("is refused for discharge %p", async (discharge, type) => {
    const answer = await checkOf(log, { discharge });
    expect([answer.status, answer.body.type]).toEqual([422, type]);
  });

  it("is a run of its own for each of them, once", async () => {
    const runs = [await upload({ discharge: 1 }), await upload({ discharge: 2 })];
    expect(runs.map(({ status }) => status)).toEqual([201, 201]);
    const [one, two] = runs.map(({ body }) => body.id);
    expect(one).not.toBe(two);
    const again = await upload({ discharge: 2 });
    expect([again.status, again.body.id]).toEqual([200, two]);
    for (const [i, { body }] of runs.entries()) {
      const shown = (await app.inject({ url: `/v1/runs/${body.id}`, headers: anna })).json<{ discharge: number }>();
      expect(shown.discharge).toBe(i + 1);
    }
    const query = "query($id: ID!) { run(id: $id) { discharge } }";
    const { body } = await app.graphql(query, { variables: { id: two }, headers: anna });
    expect(body.data).toEqual({ run: { discharge: 2 } });
  });

  it("counts once for each of them", async () => {
    const runs = await app.database.run.findMany({ where: { state: "processed" }, orderBy: { discharge: "asc" } });
    expect(runs.map(({ discharge }) => discharge)).toEqual([1, 2]);
    const other = await app.signIn("bert");
    const { packId: _, ...theirs } = await register(app, other, "Twice", first);
    const run = { protocol: "full-load", ...theirs, ...first.conditions, discharge: 2 };
    const copy = await postForm(`${app.url}/v1/runs`, run, log, { headers: other });
    expect(copy.status).toBe(201);
    expect((await decide(copy.body.id, "reject")).statusCode).toBe(201);
    for (const { id } of runs) expect((await decide(id, "accept")).statusCode).toBe(201);
    const refused = await decide(copy.body.id, "accept");
    expect(refused.json()).toMatchObject({ status: 409, existingId: runs[1]?.id });
  });
});

import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { unpacked } from "../../../test/support/unpacked.js";
import { logCase, postForm, register } from "../../../test/support/uploads.js";

const CASE = logCase("truth-4s-10hz");

let app: TestApp;
let anna: { authorization: string };
let bert: { authorization: string };
const runs: string[] = [];
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  bert = await app.signIn("bert");
  for (const [headers, name, fileName] of [
    [anna, "Sprint", "../../May 1/..\\one.csv"],
    [anna, "Ridge", "two.csv"],
    [bert, "Secret", "three.csv"],
  ] as const) {
    const { packId: _, ...its } = await register(app, headers, name, CASE);
    const run = { protocol: "full-load", ...its, ...CASE.conditions };
    const { body } = await postForm(`${app.url}/v1/runs`, run, CASE.log, { headers, fileName });
    runs.push(body.id);
  }
});
afterAll(() => app.close());

const url = "/v1/accounts/me/export";

describe("the archive of a tester", () => {
  it("holds every run of theirs with its log byte for byte, and nothing of anybody else", async () => {
    const answer = await app.inject({ url, headers: anna });
    expect([answer.statusCode, answer.headers["content-type"]]).toEqual([200, "application/zip"]);
    const files = await unpacked(answer.rawPayload);
    const ids = new Set([...files.keys()].flatMap((path) => path.match(/^runs\/([^/]+)/)?.[1] ?? []));
    expect(ids).toEqual(new Set(runs.slice(0, 2)));
    for (const id of ids) {
      const shown = await app.inject({ url: `/v1/runs/${id}`, headers: anna });
      expect(JSON.parse(String(files.get(`runs/${id}/run.json`)))).toEqual(shown.json());
      const log = [...files].find(([path]) => path.startsWith(`runs/${id}/log/`))?.[1];
      expect(log?.equals(Buffer.from(CASE.log))).toBe(true);
    }
    const [account] = JSON.parse(String(files.get("account.json")));
    expect(account).toMatchObject({ handle: "anna" });
    for (const [name, count] of [
      ["packs", 2],
      ["specimens", 2],
      ["benches", 1],
    ] as const) {
      expect([name, JSON.parse(String(files.get(`${name}.json`))).length]).toEqual([name, count]);
    }
    const everything = Buffer.concat([...files.values()]).toString("latin1");
    expect(everything).not.toMatch(/Secret|bert|[Hh]ash"|argon2/);
  });

  it("of who has done nothing is whole all the same", async () => {
    const headers = await app.signIn("newcomer");
    const files = await unpacked((await app.inject({ url, headers })).rawPayload);
    expect(JSON.parse(String(files.get("packs.json")))).toEqual([]);
  });

  it("is for nobody without a session", async () => {
    expect((await app.inject({ url })).statusCode).toBe(401);
  });

  it("is made for two at a time, and again when one who asked went away", async () => {
    const gone = new AbortController();
    const open = await Promise.all([
      fetch(`${app.url}${url}`, { headers: bert, signal: gone.signal }),
      fetch(`${app.url}${url}`, { headers: bert, signal: gone.signal }),
    ]);
    expect(open.map(({ status }) => status)).toEqual([200, 200]);
    gone.abort();
    for (;;) {
      const answer = await app.inject({ url, headers: anna });
      if (answer.statusCode === 200) break;
      expect(answer.json()).toMatchObject({ code: "too-busy" });
    }
  });
});

import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { type AnswerBody, answerOf, logCase, postForm, register } from "../../../../test/support/uploads.js";

const CASE = logCase("too-hot");

/** Files without a sample. Byte order marks: The Unicode Standard, section 23.8; an empty gzip member: RFC 1952, section 2.3. */
const FILES: readonly (readonly [name: string, bytes: Uint8Array, code: string])[] = [
  ["no bytes", Buffer.alloc(0), "log-empty"],
  ["a mark of UTF-8 alone", Buffer.from([0xef, 0xbb, 0xbf]), "log-empty"],
  ["a mark of UTF-16, low byte first, alone", Buffer.from([0xff, 0xfe]), "log-empty"],
  ["a mark of UTF-16, high byte first, alone", Buffer.from([0xfe, 0xff]), "log-empty"],
  ["one line end", Buffer.from("\n"), "log-empty"],
  ["blank lines", Buffer.from(" \r\n\t\r\n\r\n"), "log-empty"],
  ["blank lines beyond what is looked at first", Buffer.alloc(10_000, "\r\n"), "log-empty"],
  ["one zero byte", Buffer.alloc(1), "log-empty"],
  ["zero bytes", Buffer.alloc(1_000), "log-empty"],
  ["nothing, packed", gzipSync(""), "log-empty"],
  ["a mark alone, packed", gzipSync(Buffer.from([0xef, 0xbb, 0xbf])), "log-empty"],
  ["blank lines, packed", gzipSync("\n\n\n"), "log-empty"],
];

let app: TestApp;
let headers: { authorization: string };
let facts: object;
let declared: object;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  const { packId: _, ...ids } = await register(app, headers, "Sprint", CASE);
  const [pack, bench] = [
    { ...CASE.pack, maker: "Any", name: "Any" },
    { ...CASE.bench, label: "Any" },
  ];
  facts = { protocol: "full-load", pack, bench, ...CASE.conditions };
  declared = { protocol: "full-load", ...ids, ...CASE.conditions };
});
afterAll(() => app.close());

const codeOf = ({ type }: { type: string }) => type.slice("/problems/".length);

describe.each(FILES)("a file of %s", (_, bytes, code) => {
  it("is refused by an upload in the words of a check, again and again, and its run is kept with them", async () => {
    const check = await postForm(`${app.url}/v1/checks`, facts, bytes);
    expect([check.status, codeOf(check.body)]).toEqual([422, code]);
    const answers = [];
    for (const __ of [1, 2]) answers.push(await postForm(`${app.url}/v1/runs`, declared, bytes, { headers }));
    const said = answers.map(({ status, body }) => [status, codeOf(body), body.detail]);
    expect(said).toEqual([1, 2].map(() => [422, code, check.body.detail]));
    const [first, second] = answers.map(({ body }) => body.runId);
    expect(second).toBe(first);
    const kept = (await app.inject({ url: `/v1/runs/${first}`, headers })).json();
    expect(kept).toMatchObject({ state: "failed", error: { code, message: check.body.detail } });
    expect(kept.log.bytes).toBe(bytes.length);
  });
});

it("a batch refuses each of them on its own, and stores what is beside them", async () => {
  const runs = FILES.map(([name]) => ({ file: `${name}.csv`, ...declared }));
  const form = request(app.url).post("/v1/runs/batch").set(headers);
  for (const [name, bytes] of FILES) form.attach("log", Buffer.from(bytes), { filename: `${name}.csv` });
  form.attach("log", Buffer.from(CASE.log), { filename: "good.csv" });
  form.field("manifest", JSON.stringify({ runs: [...runs, { file: "good.csv", ...declared }] }));
  const { status, body } = await answerOf(form);
  const { items } = body as unknown as { items: { status: number; problem?: AnswerBody; run?: AnswerBody }[] };
  expect(status).toBe(200);
  const outcomes = items.map((item) => [item.status, item.problem ? codeOf(item.problem) : item.run?.state]);
  expect(outcomes).toEqual([...FILES.map(([, , code]) => [422, code]), [201, "processed"]]);
});

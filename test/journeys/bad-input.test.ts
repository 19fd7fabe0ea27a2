import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { createRandom } from "../../seed/simulator/random.js";
import { PROBLEMS, type ProblemCode } from "../../src/platform/problems/catalogue.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { newestProtocol } from "../support/protocols.js";
import { answerOf, logCase, postForm } from "../support/uploads.js";

const CORPUS = new URL("../corpus/not-ok/", import.meta.url);
const REFUSALS = JSON.parse(readFileSync(new URL("refusals.json", CORPUS), "utf8")) as Record<string, { code: string }>;

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

const found = logCase("truth-4s-10hz");
const asked = {
  protocol: "full-load",
  pack: { ...found.pack, maker: "Any", name: "Any" },
  bench: { ...found.bench, label: "Any" },
  ...found.conditions,
};
const check = (run: unknown, log: Uint8Array<ArrayBuffer>) => postForm(`${app.url}/v1/checks`, run, log);

describe("a bad file", () => {
  it.each(Object.entries(REFUSALS))("%s is answered with a problem that says what to mend", async (name, { code }) => {
    const log = Uint8Array.from(readFileSync(new URL(name, CORPUS)));
    const { status, headers, body } = await check(asked, log);
    expect([status, body.type]).toEqual([PROBLEMS[code as ProblemCode].status, `/problems/${code}`]);
    expect(headers["content-type"]).toContain("application/problem+json");
    expect(body.detail.length).toBeGreaterThan(60);
  });
});

describe("a file that takes too much memory", () => {
  it("as JSON nested without end is refused before it is parsed", async () => {
    const { status, body } = await check(asked, Uint8Array.from(Buffer.alloc(2 ** 25, "[")));
    expect([status, body.type]).toEqual([413, "/problems/log-too-large"]);
    expect(body.errors).toEqual([{ line: 1, column: 17, message: "more than 16 levels" }]);
  });

  it("as JSON of millions of records is refused, and the service goes on", async () => {
    const { status, body } = await check(asked, Uint8Array.from(Buffer.alloc(2 ** 25, "[").fill("{},", 1)));
    expect([status, body.type]).toEqual([413, "/problems/log-too-large"]);
    expect((await check(asked, found.log)).status).toBe(200);
  });
});

describe("a bad upload", () => {
  const post = () => request(app.url).post("/v1/checks");
  const form = (parts: [string, string | Buffer][]) => {
    const sent = post();
    for (const [name, value] of parts) {
      if (typeof value === "string") sent.field(name, value);
      else sent.attach(name, value, "log.csv");
    }
    return answerOf(sent);
  };
  const run = JSON.stringify(asked);
  const log = Buffer.from(found.log);

  it.each<[string, [string, string | Buffer][], number, string]>([
    ["without a log", [["run", run]], 422, "invalid-input"],
    ["without a run", [["log", log]], 422, "invalid-input"],
    [
      "with an unknown part",
      [
        ["run", run],
        ["log", log],
        ["more", "x"],
      ],
      422,
      "invalid-input",
    ],
    [
      "with two logs",
      [
        ["run", run],
        ["log", log],
        ["log", log],
      ],
      422,
      "invalid-input",
    ],
    [
      "with a log that is no file",
      [
        ["run", run],
        ["log", "1,2,3"],
      ],
      422,
      "invalid-input",
    ],
    [
      "whose run is no JSON",
      [
        ["run", "{"],
        ["log", log],
      ],
      400,
      "malformed-body",
    ],
    [
      "whose run is a list",
      [
        ["run", "[]"],
        ["log", log],
      ],
      422,
      "invalid-input",
    ],
    [
      "whose run is too large",
      [
        ["run", `"${"x".repeat(70_000)}"`],
        ["log", log],
      ],
      413,
      "too-large",
    ],
    [
      "for an unknown protocol",
      [
        ["run", run.replace("full-load", "half-load")],
        ["log", log],
      ],
      422,
      "unknown-reference",
    ],
    [
      "with an unknown member",
      [
        ["run", run.replace('"cycles"', '"circles"')],
        ["log", log],
      ],
      422,
      "invalid-input",
    ],
  ])("%s is refused", async (_, parts, status, code) => {
    const answer = await form(parts);
    expect([answer.status, answer.body.type]).toEqual([status, `/problems/${code}`]);
  });

  it("that names no protocol, or a version that is not there, is told what there is", async () => {
    const named = (change: object) => JSON.stringify({ ...JSON.parse(run), ...change });
    const answerTo = async (change: object) => {
      const { body } = await form([
        ["run", named(change)],
        ["log", log],
      ]);
      return [body.errors?.[0]?.pointer, body.detail];
    };
    expect(await answerTo({ protocol: "half-load" })).toEqual([
      "/protocol",
      "There is no such protocol. Those that exist: current-ladder, full-load, rated-capacity, two-pulse.",
    ]);
    expect(await answerTo({ protocolVersion: 99 })).toEqual([
      "/protocolVersion",
      `The protocol full-load has no version 99. Its newest is ${newestProtocol("full-load").version}; leave the version out for that.`,
    ]);
  });

  it("that is no form is told which media type to send", async () => {
    const answer = await answerOf(post().type("form").send("run=1"));
    expect([answer.status, answer.body.detail]).toEqual([415, expect.stringContaining("multipart/form-data")]);
  });

  it("that ends in the middle of its body is refused", async () => {
    const boundary = "cut";
    const body = `--${boundary}\r\ncontent-disposition: form-data; name="run"\r\n\r\n${run}\r\n--${boundary}\r\ncontent-disposition: form-data; name="log"; filename="a.csv"\r\n\r\nTime [s],`;
    const answer = await answerOf(post().type(`multipart/form-data; boundary=${boundary}`).send(body));
    expect([answer.status, answer.body.type]).toEqual([400, "/problems/malformed-multipart"]);
  });

  it("that is no multipart is refused", async () => {
    const answer = await app.inject({ method: "POST", url: "/v1/checks", payload: asked });
    expect([answer.statusCode, answer.json<{ type: string }>().type]).toEqual([
      415,
      "/problems/unsupported-media-type",
    ]);
  });

  it("to /v1/runs needs a session before anything is read", async () => {
    const answer = await postForm(`${app.url}/v1/runs`, asked, found.log);
    expect([answer.status, answer.body.type]).toEqual([401, "/problems/session-required"]);
  });

  it("larger than 64 MiB is refused", async () => {
    const large = new Uint8Array(64 * 2 ** 20 + 1).fill(0x31);
    const answer = await check(asked, large);
    expect([answer.status, answer.body.type]).toEqual([413, "/problems/too-large"]);
  });
});

/** More by `DAMAGED_UPLOADS=1000 npm test -- test/journeys/bad-input`. */
const DAMAGED = Number(process.env.DAMAGED_UPLOADS ?? 60);

describe("a good log with a few bytes changed", () => {
  it(`is evaluated or refused by a 4xx problem, ${DAMAGED} times`, async () => {
    const random = createRandom(20_261_125);
    const statuses = new Set<number>();
    for (let round = 0; round < DAMAGED; round++) {
      const log = Uint8Array.from(found.log.subarray(0, Math.floor(random.between(0, found.log.length))));
      for (let change = 0; change < 8 && log.length > 0; change++) {
        log[Math.floor(random.between(0, log.length))] = Math.floor(random.between(0, 256));
      }
      const { status, body } = await check(asked, log);
      statuses.add(status);
      if (status !== 200) expect(body.type).toMatch(/^\/problems\/log-/);
      expect(status).toBeLessThan(500);
    }
    expect([...statuses]).toContain(422);
  });
});

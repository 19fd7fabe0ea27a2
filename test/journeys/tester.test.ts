import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { startTestApp, type TestApp } from "../support/app.js";
import { inRestWords } from "../support/graphql-words.js";
import { type Answer, answerOf, logCase, postForm, register, uploadCase } from "../support/uploads.js";

const CASE = "truth-4s-10hz";

let app: TestApp;
let headers: { authorization: string };
let uploaded: Answer;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  uploaded = await uploadCase(app, headers, "Sprint", CASE);
});
afterAll(() => app.close());

const get = async (path: string, more: Record<string, string> = headers) =>
  answerOf(request(app.url).get(path).set(more));

describe("a tester uploads a run", () => {
  it("and has its figures, evaluated, at once", () => {
    expect(uploaded.status).toBe(201);
    expect(uploaded.headers.location).toBe(`/v1/runs/${uploaded.body.id}`);
    expect(uploaded.body).toMatchObject({ state: "processed", review: "pending", error: null });
    expect(uploaded.body.conformance.verdict).toBe("conforming");
  });

  it("and every figure is within 0.5 % of the simulator's noise-free truth, resistances within 5 %", () => {
    // Source: the noise-free solution of the simulator that made the log (test/cross-checks/README.md).
    const truth = JSON.parse(
      readFileSync(new URL(`../cross-checks/fixtures/${CASE}.truth.json`, import.meta.url), "utf8"),
    );
    const own = uploaded.body.figures.filter(({ basis }) => basis !== "translated");
    expect(own.map(({ key }) => key).sort()).toEqual(Object.keys(truth.own).sort());
    for (const { key, value } of own) {
      const within = key.startsWith("resistance") ? 0.05 : 0.005;
      expect([key, Math.abs(value / truth.own[key] - 1) <= within]).toEqual([key, true]);
    }
  });

  it("and gets the same body from GraphQL, field by field", async () => {
    const scalars =
      "id state review verdict fileName startedAt ambientC restMinutes cycles setpointA stateOfChargePercent discharge uploadedAt uploadedUnderVersion computationVersion";
    const fields = `${scalars} error { code message } protocol { key version } tester { id handle }
      pack { id maker name chemistry series parallel ratedCapacityMah labelContinuousC labelBurstC massGrams connector leadGaugeAwg leadAreaMm2 status }
      question { askedBy note rules since howToAnswer }
      keyFigures { key value unit uncertainty bound }
      specimen { id packId label cycles massGrams }
      bench { id label version replacedById clockPercent load { kind } voltage { percent offset } current { percent offset } temperature { offset }
        sense { point resistanceMilliohm gaugeAwg lengthMm } }
      log { sha256 bytes rows keptUntil removedAt columns { header channel unit reason } }
      trace { samples rateHz durationS cutoffS stop }
      adjustments { kind message before after unit }
      figures { key value unit uncertainty basis load bound shared { own kinetics resistance form } budget { source uncertainty } }
      conformance { verdict findings { rule severity outcome observed limit unit message span { fromS toS } } }`;
    const query = `query($id: ID!) { run(id: $id) { ${fields} } }`;
    const { body } = await app.graphql(query, { variables: { id: uploaded.body.id }, headers });
    expect(body.errors).toBeUndefined();
    expect(inRestWords(body.data)).toEqual({ run: (await get(`/v1/runs/${uploaded.body.id}`)).body });
  });

  it("and gets the very bytes back, with their digest (RFC 9530)", async () => {
    const download = request(app.url)
      .get(`/v1/runs/${uploaded.body.id}/log`)
      .set({ ...headers, "accept-encoding": "identity" });
    const response = await download.responseType("blob");
    const bytes = response.body as Buffer;
    expect(bytes.equals(Buffer.from(logCase(CASE).log))).toBe(true);
    const digest = createHash("sha256").update(bytes).digest("base64");
    expect(response.headers["repr-digest"]).toBe(`sha-256=:${digest}:`);
    expect(response.headers["content-disposition"]).toContain("attachment");
  });

  it("and gets its trace for a chart, as JSON and as CSV", async () => {
    const path = `/v1/runs/${uploaded.body.id}/trace?channels=voltage,power&points=200`;
    const { body } = await get(path);
    const trace = body as unknown as {
      points: number;
      channels: { channel: string; unit: string; values: number[] }[];
    };
    expect(trace.channels.map(({ channel, unit }) => [channel, unit])).toEqual([
      ["time", "s"],
      ["voltage", "V"],
      ["power", "W"],
    ]);
    expect(trace.points).toBeLessThanOrEqual(200);
    for (const { values } of trace.channels) expect(values).toHaveLength(trace.points);
    const csv = await get(path, { ...headers, accept: "text/csv" });
    const lines = String(csv.body).trimEnd().split("\r\n");
    expect(lines[0]).toBe("time [s],voltage [V],power [W]");
    expect(lines).toHaveLength(trace.points + 1);
  });

  it("and finds the same run again when the same log is sent twice, even at once", async () => {
    const again = await Promise.all(Array.from({ length: 4 }, () => uploadCase(app, headers, "Sprint", CASE)));
    expect(again.map(({ status, body }) => [status, body.id])).toEqual(again.map(() => [200, uploaded.body.id]));
  });

  it("and is told, not silently ignored, when the same log comes with other declarations", async () => {
    const found = logCase(CASE);
    const { packId: _, ...ids } = await register(app, headers, "Sprint", found);
    const run = {
      protocol: "full-load",
      startedAt: "2026-05-02T09:12:00Z",
      ...ids,
      ...found.conditions,
      restMinutes: 90,
    };
    const answer = await postForm(`${app.url}/v1/runs`, run, found.log, { headers });
    expect(answer.status).toBe(409);
    expect(answer.body).toMatchObject({ type: "/problems/already-exists", existingId: uploaded.body.id });
    expect(answer.body.errors.map(({ pointer }) => pointer)).toEqual(["/restMinutes"]);
  });

  it("and the gzip of a log gives the same figures as the log", async () => {
    const found = logCase(CASE);
    const { packId: _, ...ids } = await register(app, headers, "Packed", found);
    const run = { protocol: "full-load", ...ids, ...found.conditions };
    const packed = await postForm(`${app.url}/v1/runs`, run, Uint8Array.from(gzipSync(found.log)), { headers });
    expect(packed.status).toBe(201);
    expect(packed.body.figures).toEqual(uploaded.body.figures);
  });

  it("and nobody else can see it, in either API, until it is accepted", async () => {
    const other = await app.signIn("bert");
    for (const more of [{}, other]) {
      expect((await get(`/v1/runs/${uploaded.body.id}`, more)).status).toBe(404);
      expect((await get(`/v1/runs/${uploaded.body.id}/log`, more)).status).toBe(404);
      expect((await get(`/v1/runs/${uploaded.body.id}/trace`, more)).status).toBe(404);
      const { body } = await app.graphql("query($id: ID!) { run(id: $id) { id } }", {
        variables: { id: uploaded.body.id },
        headers: more,
      });
      expect(body.errors?.[0]?.extensions.code).toBe("not-found");
    }
    const listed = (await get("/v1/runs", {})).body as unknown as { items: { id: string }[] };
    expect(listed.items.map(({ id }) => id)).not.toContain(uploaded.body.id);
  });

  it("and withdraws it, after which the log can be uploaded anew", async () => {
    const first = await uploadCase(app, headers, "Withdrawn", "plain-20hz");
    const response = await request(app.url).delete(`/v1/runs/${first.body.id}`).set(headers);
    expect(response.status).toBe(204);
    expect((await get(`/v1/runs/${first.body.id}`)).body.review).toBe("withdrawn");
    const second = await uploadCase(app, headers, "Withdrawn", "plain-20hz");
    expect(second.status).toBe(201);
    expect(second.body.id).not.toBe(first.body.id);
  });
});

describe("a log that cannot be read", () => {
  const broken = Buffer.from(logCase(CASE).log).toString("utf8").replace("Voltage [V]", "Input");

  it("is kept, says what to mend, and is read when it comes again with a column map", async () => {
    const found = logCase(CASE);
    const { packId: _, ...ids } = await register(app, headers, "Mended", found);
    const run = { protocol: "full-load", ...ids, ...found.conditions };
    const log = Uint8Array.from(Buffer.from(broken));
    const refused = await postForm(`${app.url}/v1/runs`, run, log, { headers });
    expect([refused.status, refused.body.type]).toEqual([422, "/problems/log-column-missing"]);
    expect(refused.body.detail).toContain('"Input"');
    const kept = await get(`/v1/runs/${refused.body.runId}`);
    expect(kept.body).toMatchObject({ state: "failed", error: { code: "log-column-missing" } });
    expect(String((await get(`/v1/runs/${refused.body.runId}/log`)).body)).toBe(broken);
    const columns = { voltage: { name: "Input", unit: "V" } };
    const mended = await postForm(`${app.url}/v1/runs`, { ...run, columns }, log, { headers });
    expect([mended.body.id, mended.body.state]).toEqual([refused.body.runId, "processed"]);
    expect(mended.body.figures).toEqual(uploaded.body.figures);
  });
});

describe("a check", () => {
  it("needs no account, stores nothing, and gives the figures that the run has", async () => {
    const before = await app.database.log.count();
    const { log, pack, bench, conditions } = logCase(CASE);
    const described = { pack: { ...pack, maker: "Any", name: "Any" }, bench: { ...bench, label: "Any" } };
    const check = await postForm(`${app.url}/v1/checks`, { protocol: "full-load", ...described, ...conditions }, log);
    expect(check.status).toBe(200);
    expect(check.body).toMatchObject({ id: null, review: null, state: "processed" });
    expect(check.body.figures).toEqual(uploaded.body.figures);
    expect(check.body.conformance).toEqual(uploaded.body.conformance);
    expect(await app.database.log.count()).toBe(before);
  });
});

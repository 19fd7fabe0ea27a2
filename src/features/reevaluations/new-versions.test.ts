import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { TestApp } from "../../../test/support/app.js";
import { newestProtocol, nextFullLoad } from "../../../test/support/protocols.js";
import { type Headers, type ReevaluationTest, startReevaluationTest } from "../../../test/support/reevaluation-test.js";
import { uploadCase } from "../../../test/support/uploads.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";

const NEWEST = newestProtocol("full-load");
const NEXT = nextFullLoad(15);

let reevaluations: ReevaluationTest;
let app: TestApp;
let runs: Record<string, string>;
beforeAll(async () => {
  reevaluations = await startReevaluationTest();
  ({ app, runs } = reevaluations);
});
afterAll(() => app.close());

const post: ReevaluationTest["post"] = (...sent) => reevaluations.post(...sent);
const get = <T>(url: string, headers?: Headers) => reevaluations.get<T>(url, headers);
const ranking = () => reevaluations.ranking();
const decide: ReevaluationTest["decide"] = (...sent) => reevaluations.decide(...sent);
const publish = (document: unknown) => post("/v1/protocols/full-load/versions", document as object);

describe("a version of a protocol", () => {
  const faults = async (document: unknown) =>
    (await publish(document)).json<{ errors: { pointer: string }[] }>().errors.map(({ pointer }) => pointer);

  it("is published only if it is the next one and sound", async () => {
    expect(await faults(NEWEST)).toEqual(["/version"]);
    expect(await faults({ ...NEXT, key: "two-pulse" })).toEqual(["/key"]);
    expect(await faults({ ...NEXT, version: NEXT.version + 1, surprise: 1 })).toEqual(["/surprise"]);
    const [first, ...rules] = NEXT.rules as [ProtocolDocument["rules"][number]];
    expect(await faults({ ...NEXT, rules: [{ ...first, limit: {} }, ...rules] })).not.toEqual([]);
    expect((await post("/v1/reevaluations", { protocol: "full-load", document: NEXT })).statusCode).toBe(422);
    const tried = await post("/v1/reevaluations", { protocol: "full-load", dryRun: true, document: { key: "x" } });
    expect(tried.json<{ errors: { pointer: string }[] }>().errors[0]?.pointer).toMatch(/^\/document\//);
    expect((await post("/v1/protocols/none/versions", NEXT)).statusCode).toBe(404);
  });

  it("is published for good, noted in the record, and counts for nothing yet", async () => {
    const { body } = await app.graphql(
      'mutation($document: JsonObject!) { publishProtocolVersion(key: "full-load", document: $document) { version active } }',
      { variables: { document: NEXT }, headers: await app.signIn("ada", "administrator") },
    );
    expect(body.data).toEqual({ publishProtocolVersion: { version: NEXT.version, active: false } });
    expect((await publish(NEXT)).statusCode).toBe(422);
    expect(await get("/v1/protocols/full-load")).toMatchObject({
      version: NEXT.version,
      active: false,
      document: NEXT,
    });
    expect(await reevaluations.isActive(NEWEST.version)).toBe(true);
    const published = await app.database.auditEntry.findMany({
      where: { subjectId: `full-load/${NEXT.version}`, event: "publish" },
    });
    expect(published).toHaveLength(1);
    expect((await ranking()).map(({ protocolVersion }) => protocolVersion)).toEqual(Array(3).fill(NEWEST.version));
  });

  it("is what new uploads are judged by, which do not count until it does", async () => {
    const bert = await app.signIn("bert");
    const { body } = await uploadCase(app, bert, "Alpha", "spikes");
    expect(body).toMatchObject({ protocol: { version: NEXT.version }, uploadedUnderVersion: NEXT.version });
    runs.later = body.id;
    expect((await decide("later", "accept")).json()).toMatchObject({ review: "accepted" });
    expect(await app.database.standing.count({ where: { runs: { gt: 1 } } })).toBe(0);
  });
});

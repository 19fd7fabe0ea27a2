import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { uploadCase } from "../support/uploads.js";
import { REST_ROWS } from "./rest-rows.js";
import { STAKE_ROWS } from "./stake-rows.js";

type Headers = { authorization: string };
type Method = "POST" | "PUT" | "PATCH" | "DELETE";

const STAKE = { code: "role-required", detail: expect.stringContaining("in a class that this touches") };
/** What moderators do to others' things among what testers do to their own. */
const OF_BOTH = ["PATCH /v1/packs/{id}", "PATCH /v1/runs/{id}"];

let app: TestApp;
let mona: Headers;
let rival: Headers;
let ada: Headers;
/** An accepted run of another tester, in the class in which the rival tests. */
let accepted: { id: string; packId: string };
let merged: string;
let elsewhere: string;
beforeAll(async () => {
  app = await startTestApp();
  mona = await app.signIn("mona", "moderator");
  rival = await app.signIn("rival", "moderator");
  ada = await app.signIn("ada", "administrator");
  const tilda = await app.signIn("tilda");
  const { body: run } = await uploadCase(app, tilda, "Contested", "plain-20hz");
  accepted = { id: run.id, packId: run.pack.id };
  expect((await ask("POST", `/v1/runs/${run.id}/reviews`, mona, DECISION("accept"))).statusCode).toBe(201);
  await uploadCase(app, rival, "Of The Rival", "jitter-25hz");
  const product = async (name: string, more: object) =>
    (await ask("POST", "/v1/packs", tilda, { ...productOf(name), ...more })).json<{ id: string }>().id;
  merged = await product("Duplicate", { series: 2 });
  elsewhere = await product("Elsewhere", { series: 8 });
});
afterAll(() => app.close());

const DECISION = (decision: string) => ({ decision, rules: [], note: "Looked at." });
const ask = (method: Method, url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });

const reason = "Looked at.";
/** What each act is sent with; the pack and the run that are contested where nothing else is said. */
const BODIES: Readonly<Record<string, () => object>> = {
  "PATCH /v1/packs/{id}": () => ({ massGrams: 900, reason }),
  "PATCH /v1/runs/{id}": () => ({ packId: elsewhere, note: reason }),
  "POST /v1/packs/{id}/merge": () => ({ into: elsewhere, reason }),
  "POST /v1/packs/{id}/confirmation": () => ({ checked: ["label"], reason }),
  "POST /v1/packs/{id}/hiding": () => ({ reason }),
  "POST /v1/packs/{id}/sealed-round": () => ({
    closesAt: new Date(Date.now() + 86_400_000).toISOString(),
    note: reason,
  }),
  "POST /v1/accounts/{handle}/suspension": () => ({ reason }),
  "POST /v1/testers/{handle}/vouch": () => ({ note: reason }),
  "POST /v1/runs/{id}/withdrawal-excuse": () => ({ note: reason }),
  "POST /v1/standing-reviews/disputes": () => ({
    packId: accepted.packId,
    protocol: "full-load",
    note: reason,
    decision: "keep-shown",
  }),
  "POST /v1/standing-reviews/held-results": () => ({
    packId: accepted.packId,
    protocol: "full-load",
    note: reason,
    tester: "tilda",
    decision: "count",
  }),
  "POST /v1/runs/{id}/reviews": () => DECISION("reject"),
  "POST /v1/reviews": () => ({ runIds: [accepted.id], ...DECISION("reject") }),
};

function act(row: string, headers: Headers) {
  const [method, path] = row.split(" ") as [Method, string];
  const id = path.startsWith("/v1/runs/")
    ? accepted.id
    : row === "DELETE /v1/packs/{id}/merge"
      ? merged
      : accepted.packId;
  return ask(method, path.replace("{id}", id).replace("{handle}", "tilda"), headers, BODIES[row]?.());
}

const rowsOf = (stake: string) => Object.keys(STAKE_ROWS).filter((row) => STAKE_ROWS[row] === stake);

describe("a moderator with a stake", () => {
  it("has a row for every act, and no row more", () => {
    const acts = Object.keys(REST_ROWS).filter((row) => REST_ROWS[row] === "moderator" && !row.startsWith("GET "));
    expect(Object.keys(STAKE_ROWS).sort()).toEqual([...acts, ...OF_BOTH].sort());
  });

  it("is refused whatever bears on places in that class, and so is an administrator while somebody else is there", async () => {
    const intoContested = { into: accepted.packId, reason };
    expect((await ask("POST", `/v1/packs/${merged}/merge`, rival, intoContested)).json()).toMatchObject(STAKE);
    expect((await ask("POST", `/v1/packs/${merged}/merge`, mona, intoContested)).statusCode).toBe(200);
    for (const row of rowsOf("refused")) {
      expect([row, (await act(row, rival)).json()]).toEqual([row, expect.objectContaining(STAKE)]);
    }
    await uploadCase(app, ada, "Of The Administrator", "current-offset");
    expect((await act("POST /v1/packs/{id}/hiding", ada)).json()).toMatchObject(STAKE);
    await app.database.account.updateMany({ where: { handle: "mona" }, data: { role: "tester" } });
    expect((await act("POST /v1/packs/{id}/confirmation", ada)).json()).toMatchObject({ status: "confirmed" });
    expect((await act("POST /v1/packs/{id}/hiding", rival)).json()).toMatchObject(STAKE);
    await app.database.account.updateMany({ where: { handle: "mona" }, data: { role: "moderator" } });
  });

  it("only proposes a decision, in whatever class the run is when it is made", async () => {
    for (const row of rowsOf("proposed")) {
      expect([row, (await act(row, rival)).body]).toEqual([row, expect.stringContaining('"effective":false')]);
    }
    expect((await act("PATCH /v1/runs/{id}", mona)).json()).toMatchObject({ pack: { name: "Elsewhere" } });
    expect((await act("POST /v1/runs/{id}/reviews", rival)).json()).toMatchObject({ effective: false });
    const back = { packId: accepted.packId, note: reason };
    expect((await ask("PATCH", `/v1/runs/${accepted.id}`, rival, back)).json()).toMatchObject(STAKE);
  });

  it("does all of that in other classes, and what is its own as before", async () => {
    expect((await ask("POST", `/v1/packs/${elsewhere}/hiding`, rival, { reason })).statusCode).toBe(200);
    expect((await ask("DELETE", `/v1/packs/${elsewhere}/hiding`, rival)).statusCode).toBe(200);
    // The correction would bring the pack into the rival's class.
    expect((await ask("PATCH", `/v1/packs/${elsewhere}`, rival, { series: 4, reason })).json()).toMatchObject(STAKE);
    expect((await ask("PATCH", `/v1/packs/${elsewhere}`, rival, { massGrams: 900, reason })).statusCode).toBe(200);
    const own = await app.database.run.findFirstOrThrow({ where: { tester: { handle: "rival" } } });
    expect((await ask("PATCH", `/v1/packs/${own.packId}`, rival, { massGrams: 560 })).statusCode).toBe(200);
    const vouched = await ask("POST", "/v1/testers/tilda/vouch", mona, { note: reason });
    expect(vouched.statusCode).toBe(200);
    const revoked = await ask("DELETE", "/v1/testers/tilda/vouch?reason=Their%20bench%20was%20sold.", mona);
    expect(revoked.statusCode).toBe(204);
    const entry = await app.database.auditEntry.findFirstOrThrow({
      where: { event: "revoke-vouch" },
      include: { reason: true },
    });
    expect(entry.reason?.text).toBe("Their bench was sold.");
  });

  it("is refused to suspend or to vouch for whoever tests in that class, accepted or not, and suspends who never uploaded a run", async () => {
    const newcomer = await app.signIn("newcomer");
    await app.signIn("idle");
    const { body: run } = await uploadCase(app, newcomer, "Of The Newcomer", "truth-4s-10hz");
    expect((await app.database.run.findUniqueOrThrow({ where: { id: run.id } })).review).toBe("pending");
    const suspend = (handle: string, headers: Headers) =>
      ask("POST", `/v1/accounts/${handle}/suspension`, headers, { reason });
    expect((await suspend("newcomer", rival)).json()).toMatchObject(STAKE);
    expect((await ask("POST", "/v1/testers/newcomer/vouch", rival, { note: reason })).json()).toMatchObject(STAKE);
    expect((await suspend("idle", rival)).statusCode).toBe(200);
    expect((await suspend("newcomer", mona)).statusCode).toBe(200);
    expect((await ask("DELETE", "/v1/accounts/newcomer/suspension", rival)).json()).toMatchObject(STAKE);
  });
});

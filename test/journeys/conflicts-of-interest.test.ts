import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let tester: Headers;
let judge: Headers;
let rival: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("tilda");
  judge = await app.signIn("judge", "moderator");
  rival = await app.signIn("rival", "moderator");
});
afterAll(() => app.close());

const post = (url: string, headers: Headers, payload: object) => app.inject({ method: "POST", url, headers, payload });
const decide = async (runId: string, decision: string, headers: Headers) =>
  (await post(`/v1/runs/${runId}/reviews`, headers, { decision, rules: [], note: "Looked at." })).json();
const upload = async (pack: string, log: string, headers: Headers) =>
  (await uploadCase(app, headers, pack, log)).body.id;
const setRole = (handle: string, role: string) =>
  app.database.account.updateMany({ where: { handle }, data: { role } });

describe("moderators who test packs of a class themselves", () => {
  it("only propose, do not second each other, and whoever has no conflict of interest decides", async () => {
    const run = await upload("Contested", "truth-4s-10hz", tester);
    await upload("Of The Judge", "plain-20hz", judge);
    await upload("Of The Rival", "jitter-25hz", rival);
    expect(await decide(run, "reject", judge)).toMatchObject({
      effective: false,
      review: "pending",
      waitsFor: "nobody",
    });
    expect(await decide(run, "reject", rival)).toMatchObject({
      effective: false,
      review: "pending",
      waitsFor: "nobody",
    });
    const free = await app.signIn("free", "moderator");
    expect(await decide(run, "reject", judge)).toMatchObject({ effective: false, waitsFor: "moderator" });
    const queue = await app.inject({ url: "/v1/reviews", headers: free });
    expect(queue.json<{ items: { id: string }[] }>().items.find(({ id }) => id === run)).toMatchObject({
      proposals: [
        { moderator: { handle: "judge" }, decision: "reject" },
        { moderator: { handle: "rival" }, decision: "reject" },
      ],
    });
    expect(await decide(run, "reject", free)).toMatchObject({ effective: true, review: "rejected", waitsFor: null });
    await setRole("free", "tester");
  });

  it("keep the conflict when the own run is withdrawn, or moved to a pack of another class, and uploaded again after", async () => {
    const run = await upload("Contested", "current-offset", tester);
    const own = await upload("Of The Judge", "removed-at-cutoff", judge);
    for (const { id } of await app.database.run.findMany({ where: { tester: { handle: "judge" } } })) {
      expect((await app.inject({ method: "DELETE", url: `/v1/runs/${id}`, headers: judge })).statusCode).toBe(204);
    }
    expect(await decide(run, "reject", judge)).toMatchObject({ effective: false, review: "pending" });
    const again = await upload("Of The Judge", "removed-at-cutoff", judge);
    expect(again).not.toBe(own);
    const other = await post("/v1/packs", judge, {
      maker: "Halden Cells",
      name: "Other Class",
      chemistry: "lifepo4",
      series: 8,
      parallel: 1,
      ratedCapacityMah: 2500,
    });
    const mover = await app.signIn("mover", "moderator");
    const moved = await upload("Of The Mover", "lead-awg12", mover);
    const payload = { packId: other.json<{ id: string }>().id };
    const patch = { method: "PATCH", url: `/v1/runs/${moved}`, headers: mover, payload } as const;
    expect((await app.inject(patch)).statusCode).toBe(200);
    expect(await decide(run, "reject", mover)).toMatchObject({ effective: false, review: "pending" });
    await setRole("mover", "tester");
  });

  it("are helped by an administrator with the same conflict only where nobody else is left", async () => {
    const run = await upload("Contested", "current-offset-large", tester);
    const administrator = await app.signIn("ada", "administrator");
    await upload("Of The Administrator", "short-dip", administrator);
    expect(await decide(run, "reject", administrator)).toMatchObject({ effective: false, waitsFor: "nobody" });
    expect(await decide(run, "reject", judge)).toMatchObject({ effective: false, waitsFor: "administrator" });
    const free = await app.signIn("free", "moderator");
    expect(await decide(run, "reject", administrator)).toMatchObject({ effective: false, waitsFor: "moderator" });
    await setRole("free", "tester");
    expect(await decide(run, "accept", administrator)).toMatchObject({ effective: false });
    expect(await decide(run, "reject", administrator)).toMatchObject({ effective: true, review: "rejected" });
    expect(free).toBeDefined();
    await setRole("ada", "tester");
  });
});

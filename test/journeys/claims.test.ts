import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let tester: Headers;
let mona: Headers;
let milo: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
  milo = await app.signIn("milo", "moderator");
});
afterAll(() => app.close());

interface ClaimBody {
  readonly type?: string;
  readonly until: string;
  readonly renewableUntil: string;
}

const ask = (method: "POST" | "PUT" | "DELETE", url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const claim = async (id: string, headers = mona) =>
  (await ask("PUT", `/v1/reviews/${id}/claim`, headers)).json<ClaimBody>();
const upload = async (pack: string, log: string, headers = tester) =>
  (await uploadCase(app, headers, pack, log)).body.id;

/** As if all claims had been made so many minutes earlier. */
const minutesLater = (minutes: number) => app.database.$executeRaw`
  UPDATE review_claim SET since = since - make_interval(mins => ${minutes}::int), until = until - make_interval(mins => ${minutes}::int)`;

describe("a claim", () => {
  it("is renewed for an hour in all, then others have their turn for a day", async () => {
    const id = await upload("Held", "truth-4s-10hz");
    const first = await claim(id);
    const minutes = (text: string) => Math.round((new Date(text).getTime() - Date.now()) / 60_000);
    expect([minutes(first.until), minutes(first.renewableUntil)]).toEqual([30, 60]);
    await minutesLater(20);
    expect(minutes((await claim(id)).until)).toBe(30);
    await minutesLater(25);
    expect(minutes((await claim(id)).until)).toBe(15);
    await minutesLater(20);
    expect(await claim(id)).toMatchObject({ status: 409, type: "/problems/claim-used-up" });
    expect(await claim(id, milo)).toMatchObject({ moderator: { handle: "milo" } });
    expect((await ask("DELETE", `/v1/reviews/${id}/claim`, milo)).statusCode).toBe(204);
    expect(await claim(id)).toMatchObject({ type: "/problems/claim-used-up" });
    await minutesLater(24 * 60);
    expect(minutes((await claim(id)).until)).toBe(30);
    await ask("DELETE", "/v1/reviews/claims", mona);
  });

  it("is not made anew by releasing it, nor by a decision that is taken back", async () => {
    const id = await upload("Released", "plain-20hz");
    await claim(id);
    await ask("DELETE", `/v1/reviews/${id}/claim`, mona);
    const payload = { decision: "reject", rules: [], note: "Looked at." };
    const review = (await ask("POST", `/v1/runs/${id}/reviews`, mona, payload)).json<{ id: string }>();
    expect((await ask("DELETE", `/v1/reviews/${review.id}`, mona)).statusCode).toBe(204);
    await minutesLater(61);
    expect(await claim(id)).toMatchObject({ type: "/problems/claim-used-up" });
  });

  it("is made of several runs at once, each by itself, and shown in the queue", async () => {
    const ids = [await upload("Several", "current-offset"), await upload("Several", "lead-awg12")] as const;
    const own = await upload("Own", "jitter-25hz", mona);
    await claim(ids[1], milo);
    const answer = await ask("POST", "/v1/reviews/claims", mona, { runIds: [...ids, own, "no-such-run"] });
    const { items } = answer.json<{ items: { claim: object | null; problem: { status: number } | null }[] }>();
    expect(items.map(({ claim, problem }) => (claim ? "claimed" : problem?.status))).toEqual([
      "claimed",
      409,
      403,
      404,
    ]);
    const queue = await app.inject({ url: "/v1/reviews?fields=id,claim", headers: milo });
    const claims = queue
      .json<{ items: { id: string; claim: { moderator: { handle: string } } | null }[] }>()
      .items.map((item) => [item.id, item.claim?.moderator.handle]);
    expect(claims).toEqual(
      expect.arrayContaining([
        [ids[0], "mona"],
        [ids[1], "milo"],
      ]),
    );
    const { body } = await app.graphql(
      "mutation($input: ManyClaimsInput!) { claimRuns(input: $input) { items { claim { runId } problem } } releaseRuns }",
      { variables: { input: { runIds: [ids[0]] } }, headers: mona },
    );
    expect(body.data).toEqual({
      claimRuns: { items: [{ claim: { runId: ids[0] }, problem: null }] },
      releaseRuns: true,
    });
    expect(await app.database.reviewClaim.count({ where: { until: { gt: new Date() } } })).toBe(1);
  });

  it("is refused to a moderator who has claimed fifty runs", async () => {
    const id = await upload("Fifty", "short-dip");
    const { specimenId, benchId, testerId, protocolKey, protocolVersion, logSha256 } =
      await app.database.run.findUniqueOrThrow({ where: { id } });
    const moderatorId = (await app.database.account.findFirstOrThrow({ where: { handle: "mona" } })).id;
    const same = { specimenId, benchId, testerId, protocolKey, protocolVersion, logSha256, fileName: "log" };
    for (let discharge = 1; discharge <= 50; discharge++) {
      const run = await app.database.run.create({ data: { ...same, discharge } });
      const until = new Date(Date.now() + 60_000);
      await app.database.reviewClaim.create({ data: { runId: run.id, moderatorId, until } });
    }
    expect(await claim(id)).toMatchObject({ type: "/problems/limit-reached" });
    await ask("DELETE", "/v1/reviews/claims", mona);
    expect(await claim(id)).toMatchObject({ moderator: { handle: "mona" } });
  });
});

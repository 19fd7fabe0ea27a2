import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { STORED_LOAD, StoredRuns } from "../../../../test/support/stored-runs.js";
import type { RankingList } from "../rankings.views.js";

let app: TestApp;
let runs: StoredRuns;
let moderator: { authorization: string };
let administrator: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  runs = new StoredRuns(app);
  moderator = await app.signIn("mona", "moderator");
  administrator = await app.signIn("ada", "administrator");
});
afterAll(() => app.close());

const CLUB = { testers: 2, referenceTesters: 1, vouchedOnly: true, sealedFrom: null, reason: "A club of four." };
const set = (payload: object, headers = administrator) =>
  app.inject({ method: "PUT", url: "/v1/standing-policy", payload, headers });
const vouch = (handle: string) =>
  app.inject({
    method: "POST",
    url: `/v1/testers/${handle}/vouch`,
    payload: { note: "Known bench." },
    headers: moderator,
  });
const ranking = async (query = "") =>
  (await app.inject({ url: `/v1/rankings/power-10s?load=${STORED_LOAD}${query}` })).json<RankingList>();

describe("the policy of standings", () => {
  it("is the service's own while nobody has set it, and is stated in every ranking with why nothing is established", async () => {
    const policy = (await app.inject({ url: "/v1/standing-policy" })).json();
    expect(policy).toEqual({
      testers: 3,
      referenceTesters: 2,
      vouchedOnly: false,
      sealedFrom: null,
      version: 0,
      setBy: null,
      setAt: null,
    });
    expect(await ranking()).toMatchObject({
      items: [],
      established: 0,
      provisional: 0,
      policy: { testers: 3, referenceTesters: 2, vouchedOnly: false },
      referenceTesters: 0,
      gap: "too-few-reference-testers",
    });
    for (const handle of ["ann", "ben"]) await runs.add(handle, "First");
    await runs.settled();
    expect(await ranking()).toMatchObject({ items: [], provisional: 1, gap: "too-few-reference-testers" });
    for (const handle of ["ann", "ben"]) await vouch(handle);
    await runs.settled();
    expect(await ranking()).toMatchObject({ items: [], provisional: 1, referenceTesters: 2, gap: "too-few-testers" });
    const [provisional] = (await ranking("&standing=provisional")).items;
    expect(provisional).toMatchObject({ place: null, placeRange: null, tiedWith: [], testers: 2, established: false });
  });

  it("lets a club of four establish standings with two of its testers, and takes them away when it is set back", async () => {
    expect((await set(CLUB)).json()).toMatchObject({
      version: 1,
      testers: 2,
      vouchedOnly: true,
      setBy: { handle: "ada" },
    });
    await runs.settled();
    const club = await ranking();
    expect(club).toMatchObject({
      established: 1,
      gap: null,
      policy: { testers: 2, referenceTesters: 1, vouchedOnly: true },
    });
    expect(club.items).toMatchObject([{ place: 1, placeRange: [1, 1], established: true, testers: 2 }]);
    const { body } = await app.graphql(
      `mutation($input: StandingPolicyInput!) { setStandingPolicy(input: $input) { version testers vouchedOnly } }`,
      {
        variables: { input: { ...CLUB, testers: 3, referenceTesters: 2, vouchedOnly: false } },
        headers: administrator,
      },
    );
    expect(body).toMatchObject({ data: { setStandingPolicy: { version: 2, testers: 3, vouchedOnly: false } } });
    await runs.settled();
    expect(await ranking()).toMatchObject({ items: [], established: 0, gap: "too-few-testers" });
    const entries = await app.database.auditEntry.findMany({ where: { subjectKind: "standing-policy" } });
    expect(entries.map(({ event, subjectId }) => [event, subjectId])).toEqual([
      ["set", "1"],
      ["set", "2"],
    ]);
  });

  it("lists to moderators what was set, when, by whom and why, the newest first and page by page", async () => {
    const list = async (query: string) =>
      (await app.inject({ url: `/v1/standing-policy/versions${query}`, headers: moderator })).json();
    const first = await list("?first=1");
    expect(first).toMatchObject({
      items: [{ version: 2, testers: 3, setBy: { handle: "ada" }, reason: CLUB.reason }],
      pageInfo: { hasNextPage: true },
    });
    const second = await list(`?first=1&after=${first.pageInfo.endCursor}`);
    expect(second).toMatchObject({
      items: [{ version: 1, testers: 2, vouchedOnly: true, reason: CLUB.reason }],
      pageInfo: { hasNextPage: false },
    });
    expect((await list(`?last=1&before=${second.pageInfo.startCursor}`)).items).toMatchObject([{ version: 2 }]);
    await app.database.auditReason.deleteMany({
      where: { entry: { subjectKind: "standing-policy", subjectId: "2" } },
    });
    expect((await list("")).items).toMatchObject([
      { version: 2, reason: null },
      { version: 1, reason: CLUB.reason },
    ]);
    expect((await app.inject({ url: "/v1/standing-policy/versions" })).statusCode).toBe(401);
  });

  it("is set by administrators alone, and never so that one tester establishes others", async () => {
    expect((await set(CLUB, moderator)).statusCode).toBe(403);
    for (const [testers, referenceTesters] of [
      [3, 1],
      [5, 1],
      [2, 3],
      [6, 2],
    ]) {
      const answer = await set({ ...CLUB, testers, referenceTesters });
      expect([testers, referenceTesters, answer.statusCode]).toEqual([testers, referenceTesters, 422]);
    }
  });
});

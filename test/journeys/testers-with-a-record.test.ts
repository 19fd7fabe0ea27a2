import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { NoticeList } from "../../src/features/notices/notices.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { STORED_LOAD, StoredRuns } from "../support/stored-runs.js";

type Headers = Record<string, string>;

let app: TestApp;
let runs: StoredRuns;
let moderator: Headers;
beforeAll(async () => {
  app = await startTestApp();
  runs = new StoredRuns(app);
  moderator = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const VOUCHED = ["ann", "ben", "cem", "dov"] as const;
const post = (url: string, payload: object, headers = moderator) =>
  app.inject({ method: "POST", url, payload, headers });
const vouch = (handle: string) => post(`/v1/testers/${handle}/vouch`, { note: "Known bench." });
const ranking = async (standing = "established") =>
  (await app.inject({ url: `/v1/rankings/power-10s?load=${STORED_LOAD}&standing=${standing}` })).json<{
    items: { pack: { name: string }; place: number | null; value: number; established: boolean }[];
    gap: string | null;
    referenceTesters: number;
  }>();
const rowOf = async (name: string) =>
  app.database.standing.findFirstOrThrow({
    where: { packId: await runs.pack(name), figure: "power-10s", load: STORED_LOAD },
  });
interface Review {
  pack: { name: string };
  disputes: { figure: string; value: number; computedValue: number; expandedUncertainty: number }[];
  held: { tester: { handle: string }; status: string; results: { figure: string; departure: number }[] }[];
}
const reviewOf = async (name: string) => {
  const { items } = (await app.inject({ url: "/v1/standing-reviews", headers: moderator })).json<{ items: Review[] }>();
  return items.find(({ pack }) => pack.name === name);
};
const undecided = async () =>
  (
    await app.database.standing.findMany({
      where: { OR: [{ disputed: true }, { held: { gt: 0 } }] },
      distinct: ["packId"],
    })
  ).length;
/** What the audit log holds on the standings of a pack: event, state before, what it is about, why and by whom. */
const auditOf = async (packId: string) => {
  const where = { subjectKind: "standing", subjectId: `full-load ${packId}` };
  const entries = await app.database.auditEntry.findMany({
    where,
    include: { reason: true },
    orderBy: { position: "asc" },
  });
  const actors = await app.database.account.findMany({
    where: { id: { in: entries.map(({ actorId }) => actorId ?? "") } },
  });
  const handleOf = (id: string | null) => actors.find((actor) => actor.id === id)?.handle;
  return entries.map(({ event, fromState, rules, reason, actorId }) => [
    event,
    fromState,
    rules,
    reason?.text,
    handleOf(actorId),
  ]);
};
/** Days go by for whoever is established. */
const settle = async (...handles: string[]) => {
  for (const handle of handles) {
    const testerId = await runs.tester(handle);
    await app.database.testerRecord.update({
      where: { testerId },
      data: { establishedSince: new Date(Date.now() - 200 * 86_400_000) },
    });
  }
};

describe("a new service", () => {
  it("says that nobody can be established, until moderators vouch for the first reference testers", async () => {
    for (const handle of VOUCHED) await runs.add(handle, "First");
    await runs.settled();
    expect(await ranking()).toMatchObject({ items: [], gap: "too-few-reference-testers", referenceTesters: 0 });
    for (const handle of VOUCHED) expect((await vouch(handle)).statusCode).toBe(200);
    await runs.settled();
    const { items, gap, referenceTesters } = await ranking();
    expect([gap, referenceTesters]).toEqual([null, 4]);
    expect(items).toMatchObject([{ pack: { name: "First" }, place: 1, established: true }]);
  });

  it("lets a newcomer be established by three packs, and by nothing less", async () => {
    for (const name of ["Second", "Third"]) for (const handle of VOUCHED) await runs.add(handle, name);
    for (const name of ["First", "Second"]) await runs.add("eva", name, { power: 1.003 });
    await runs.settled();
    expect((await app.inject({ url: "/v1/testers/eva" })).json()).toMatchObject({ status: "new" });
    await runs.add("eva", "Third", { power: 0.998 });
    await runs.settled();
    expect((await app.inject({ url: "/v1/testers/eva" })).json()).toMatchObject({ status: "established" });
  });
});

describe("puppets", () => {
  it("bring no pack that does not exist into a ranking, however many agree on it", async () => {
    for (let i = 0; i < 5; i++) await runs.add(`fake${i}`, "Phantom", { power: 1.5 });
    await runs.settled();
    expect((await ranking()).items.map(({ pack }) => pack.name)).not.toContain("Phantom");
    const all = (await ranking("all")).items;
    expect(all[0]).toMatchObject({ pack: { name: "Phantom" }, place: null, established: false });
    expect(all.find(({ pack }) => pack.name === "First")).toMatchObject({ place: 1 });
    for (let i = 0; i < 5; i++) {
      expect((await app.inject({ url: `/v1/testers/fake${i}` })).json()).toMatchObject({ status: "new" });
    }
  });

  it("who copied their records move no established standing by more than U/2, and a moderator sees it", async () => {
    const puppets = Array.from({ length: 10 }, (_, i) => `puppet${i}`);
    for (const name of ["Fourth"]) for (const handle of VOUCHED) await runs.add(handle, name);
    for (const handle of puppets) for (const name of ["First", "Second", "Third"]) await runs.add(handle, name);
    await runs.settled();
    expect((await app.inject({ url: "/v1/testers/puppet9" })).json()).toMatchObject({ status: "established" });
    await settle(...puppets);
    const before = await rowOf("Fourth");
    const expanded = 2 * before.uncertainty;
    for (const handle of puppets) await runs.add(handle, "Fourth", { power: 1.012 });
    await runs.settled();
    const after = await rowOf("Fourth");
    expect(after.established).toBe(true);
    expect(Math.abs(after.value - before.value)).toBeLessThanOrEqual(expanded / 2);
    expect(after.disputed).toBe(true);
    const dispute = (await reviewOf("Fourth"))?.disputes.find(({ figure }) => figure === "power-10s");
    expect(dispute?.computedValue).toBeGreaterThan(after.value);
  });

  it("are answered by a moderator without a stake: the value stays, or takes what the results give", async () => {
    const packId = await runs.pack("Fourth");
    const input = { packId, protocol: "full-load", note: "Ten accounts of one day." };
    const shown = (await rowOf("Fourth")).value;
    const rival = await app.signIn("rival", "moderator");
    const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "rival" } });
    const bench = await app.database.bench.findFirstOrThrow({ where: { ownerId: await runs.tester("ann") } });
    const { id: _, createdAt: __, ...facts } = bench;
    runs.adopt("rival", id, (await app.database.bench.create({ data: { ...facts, ownerId: id } })).id);
    await runs.withdraw(await runs.add("rival", "Second"));
    await runs.settled();
    const keep = { ...input, decision: "keep-shown" };
    expect((await post("/v1/standing-reviews/disputes", keep, rival)).json()).toMatchObject({ code: "role-required" });
    const elsewhere = { ...keep, figure: "capacity" };
    expect((await post("/v1/standing-reviews/disputes", elsewhere)).json()).toMatchObject({
      code: "decision-not-possible",
    });
    expect((await post("/v1/standing-reviews/disputes", keep)).json()).toMatchObject({ disputes: [] });
    expect(await rowOf("Fourth")).toMatchObject({ disputed: false, value: shown });
    expect((await post("/v1/standing-reviews/disputes", keep)).json()).toMatchObject({ code: "decision-not-possible" });
    expect(await reviewOf("Fourth")).toBeUndefined();
    expect(await auditOf(packId)).toEqual([
      ["keep-shown", "disputed", ["power-10s 100 A"], "Ten accounts of one day.", "mona"],
    ]);
  });

  it("may be right after all: the standing takes what the results give, and keeps it", async () => {
    for (const handle of VOUCHED) await runs.add(handle, "Seventh");
    await runs.settled();
    for (let i = 0; i < 10; i++) await runs.add(`puppet${i}`, "Seventh", { power: 1.012 });
    await runs.settled();
    const { value, computedValue } = await rowOf("Seventh");
    const { body } = await app.graphql(
      `mutation ($input: DisputeInput!) { decideDisputes(input: $input) { pack { name } disputes { figure } } }`,
      {
        variables: {
          input: {
            packId: await runs.pack("Seventh"),
            protocol: "full-load",
            decision: "TAKE_COMPUTED",
            figure: "POWER_10S",
            load: STORED_LOAD,
            note: "A new batch.",
          },
        },
        headers: moderator,
      },
    );
    expect(body).toEqual({ data: { decideDisputes: { pack: { name: "Seventh" }, disputes: [] } } });
    expect(computedValue).toBeGreaterThan(value);
    expect(await rowOf("Seventh")).toMatchObject({ value: computedValue, disputed: false, computedValue: null });
    expect(await auditOf(await runs.pack("Seventh"))).toEqual([
      ["take-computed", "disputed", ["power-10s 100 A"], "A new batch.", "mona"],
    ]);
  });

  it("who read far off are held by name, and count only when a moderator says so", async () => {
    for (const handle of VOUCHED) await runs.add(handle, "Fifth");
    await runs.settled();
    const before = (await rowOf("Fifth")).value;
    await runs.add("puppet0", "Fifth", { power: 1.03 });
    await runs.settled();
    expect(await rowOf("Fifth")).toMatchObject({ value: before, established: true });
    expect((await rowOf("Fifth")).held).toBe(1);
    const held = (await reviewOf("Fifth"))?.held ?? [];
    expect(held).toMatchObject([{ tester: { handle: "puppet0" }, status: "settled" }]);
    expect(held[0]?.results.find(({ figure }) => figure === "power-10s")?.departure).toBeGreaterThan(3);
    const input = {
      packId: await runs.pack("Fifth"),
      protocol: "full-load",
      tester: "puppet0",
      note: "Seen the bench.",
    };
    const rival = await app.signIn("rival", "moderator");
    const count = { ...input, decision: "count" };
    expect((await post("/v1/standing-reviews/held-results", count, rival)).json()).toMatchObject({
      code: "role-required",
    });
    for (const [tester, code] of [
      ["ann", "decision-not-possible"],
      ["nobody", "not-found"],
    ]) {
      expect((await post("/v1/standing-reviews/held-results", { ...count, tester })).json()).toMatchObject({ code });
    }
    expect(await rowOf("Fifth")).toMatchObject({ value: before, held: 1 });
    const aside = await post("/v1/standing-reviews/held-results", { ...input, decision: "set-aside" });
    expect([aside.statusCode, aside.json<Review>().held]).toEqual([200, []]);
    expect(await rowOf("Fifth")).toMatchObject({ value: before, held: 0, testersBeside: 1 });
    const { body } = await app.graphql(
      `mutation ($input: HeldResultsInput!) { decideHeldResults(input: $input) { held { status } } }`,
      { variables: { input: { ...input, decision: "COUNT" } }, headers: moderator },
    );
    expect(body).toEqual({ data: { decideHeldResults: { held: [] } } });
    const puppet = await app.signIn("puppet0");
    const told = await app.inject({ url: "/v1/notices?kind=held-result-decided", headers: puppet });
    const notices = told.json<NoticeList>().items.map(({ text, reason }) => [text, reason]);
    expect(notices).toEqual([
      ["It counts in the standing of the pack.", "Seen the bench."],
      ["It is left out of the standing of the pack.", "Seen the bench."],
    ]);
    expect(await rowOf("Fifth")).toMatchObject({ testers: 5, testersBeside: 0 });
    expect((await rowOf("Fifth")).value).toBeGreaterThan(before);
    const from = `held of ${await runs.tester("puppet0")}`;
    expect(await auditOf(input.packId)).toEqual([
      ["set-aside", from, ["power-10s 100 A"], "Seen the bench.", "mona"],
      ["count", from, ["power-10s 100 A"], "Seen the bench.", "mona"],
    ]);
  });

  it("wait in a list of packs, in pages", async () => {
    for (const name of ["Eighth", "Ninth"]) for (const handle of VOUCHED) await runs.add(handle, name);
    await runs.settled();
    for (const [handle, name] of [
      ["puppet1", "Eighth"],
      ["puppet2", "Ninth"],
    ] as const) {
      await runs.add(handle, name, { power: 1.03 });
    }
    await runs.settled();
    const page = async (after: string | null) => {
      const { body } = await app.graphql(
        `query ($after: String) { standingReviews(first: 1, after: $after) {
          totalCount edges { node { pack { name } held { tester { handle } } } } pageInfo { hasNextPage endCursor } } }`,
        { variables: { after }, headers: moderator },
      );
      return body.data?.standingReviews as {
        totalCount: number;
        edges: { node: { pack: { name: string }; held: object[] } }[];
        pageInfo: { hasNextPage: boolean; endCursor: string };
      };
    };
    const names = new Set<string>();
    let after: string | null = null;
    for (let more = true; more; ) {
      const { totalCount, edges, pageInfo }: Awaited<ReturnType<typeof page>> = await page(after);
      expect([totalCount, edges.length]).toEqual([await undecided(), 1]);
      names.add(edges[0]?.node.pack.name ?? "");
      more = pageInfo.hasNextPage;
      after = pageInfo.endCursor;
    }
    expect(names.size).toBe(await undecided());
    expect([...names]).toEqual(expect.arrayContaining(["Eighth", "Ninth"]));
  });
});

describe("withdrawn tries", () => {
  it("stay in their tester's mean and are public with their figures, until a moderator accepts the cause", async () => {
    const first = await runs.add("gus", "First", { power: 0.96 });
    await runs.add("gus", "First", { power: 1.02 });
    await runs.withdraw(first);
    await runs.settled();
    const result = async () =>
      app.database.testerResult.findFirst({ where: { testerId: await runs.tester("gus"), figure: "power-10s" } });
    expect(await result()).toMatchObject({ runs: 1, withdrawnRuns: 1, value: expect.closeTo(1400 * 0.99, 6) });
    const withdrawals = async () =>
      (await app.inject({ url: "/v1/testers/gus" })).json<{ withdrawals: { excused: boolean }[] }>().withdrawals;
    expect(await withdrawals()).toMatchObject([
      { excused: false, figures: expect.arrayContaining([expect.objectContaining({ figure: "resistance-10s" })]) },
    ]);
    const excuse = () => post(`/v1/runs/${first}/withdrawal-excuse`, { note: "The lead had come loose." });
    expect((await excuse()).statusCode).toBe(200);
    await runs.settled();
    expect(await result()).toMatchObject({ runs: 1, withdrawnRuns: 0, value: expect.closeTo(1400 * 1.02, 6) });
    expect(await withdrawals()).toMatchObject([{ excused: true }]);
    expect((await excuse()).json()).toMatchObject({ code: "decision-not-possible" });
    const entry = await app.database.auditEntry.findFirstOrThrow({
      where: { subjectId: first, event: "excuse-withdrawal" },
      include: { reason: true },
    });
    expect(entry.reason?.text).toBe("The lead had come loose.");
  });

  it("are excused by somebody else, and only where there is something to excuse", async () => {
    const rival = await app.signIn("rival", "moderator");
    const standing = await runs.add("rival", "Third");
    const withdrawn = await runs.add("rival", "First");
    await runs.withdraw(withdrawn);
    await runs.settled();
    const excuse = async (id: string, headers: Headers) => {
      const { body } = await app.graphql(
        `mutation ($id: ID!) { excuseWithdrawal(id: $id, input: { note: "Loose." }) { id } }`,
        { variables: { id }, headers },
      );
      return body.errors?.[0]?.extensions.code ?? body.data;
    };
    expect(await excuse(withdrawn, rival)).toBe("role-required");
    expect(await excuse(standing, moderator)).toBe("decision-not-possible");
    expect(await excuse(withdrawn, moderator)).toEqual({ excuseWithdrawal: { id: withdrawn } });
  });
});

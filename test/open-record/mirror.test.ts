import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { Mirror } from "../support/mirror.js";
import { readPublicRecord } from "../support/public-record.js";
import { RandomHistory } from "../support/random-history.js";

/** Decisions of one history; the variable lets it go on for longer. */
const STEPS = Number(process.env.MIRROR_STEPS ?? 36);
const SEED = Number(process.env.MIRROR_SEED ?? 20261127);

let app: TestApp;
let history: RandomHistory;
beforeAll(async () => {
  app = await startTestApp();
  history = await RandomHistory.begin(app, SEED);
});
afterAll(() => app.close());

/** What a mirror holds, where standings are compared by what the API's own read of them shows. */
function heldBy({ things }: Mirror) {
  const standings = [...things.standings].map(([id, values]) => {
    const shown = (values as Record<string, unknown>[]).map((value) => {
      const { computedValue: _, testersBeside: __, held: ___, ...rest } = value;
      return rest;
    });
    return [id, shown] as const;
  });
  return { ...things, standings: new Map(standings) };
}

describe("a mirror that is built from changes alone", () => {
  it("equals the public record after each of many decisions, whatever they are", async () => {
    const early = new Mirror(app);
    const events = new Set<string>();
    for (let step = 0; step < STEPS; step++) {
      const did = await history.step();
      await early.follow();
      const record = await readPublicRecord(app, history.handles);
      expect({ did, ...heldBy(early) }).toEqual({ did, ...record });
    }
    for (const { event } of early.read) events.add(event);
    // A history in which hardly anything happens shows nothing.
    expect([...events]).toEqual(
      expect.arrayContaining([
        "registered",
        "accepted",
        "changed",
        "rejected",
        "reopened",
        "withdrawn",
        "hidden",
        "shown",
        "merged",
        "unmerged",
        "erased",
      ]),
    );
    const late = new Mirror(app, null, 100);
    await late.follow();
    expect(heldBy(late)).toEqual(heldBy(early));
    const positions = late.read.map(({ position }) => position);
    expect(positions).toEqual(early.read.map(({ position }) => position));
    expect(positions).toEqual([...new Set(positions)].sort((a, b) => a - b));
    const times = late.read.map(({ changedAt }) => changedAt);
    expect(times).toEqual(times.toSorted());
  });

  it("never learns of a run that was not public, nor of an account that has added nothing to the public record", async () => {
    await app.signIn("onlooker");
    const pending = await history.uploadUndecided();
    const mirror = new Mirror(app, null, 100);
    await mirror.follow();
    const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "onlooker" } });
    const subjects = new Set(mirror.read.map(({ subjectId }) => subjectId));
    expect([subjects.has(pending), subjects.has(id)]).toEqual([false, false]);
  });

  it("keeps no name of an erased tester in anything that the feed still says", async () => {
    const answer = await app.inject({ url: "/v1/changes?first=100" });
    expect(history.erased.length).toBeGreaterThan(0);
    const mirror = new Mirror(app, null, 100);
    await mirror.follow();
    const text = JSON.stringify(mirror.read);
    for (const handle of history.erased) expect([handle, text.includes(`"${handle}"`)]).toEqual([handle, false]);
    expect(answer.statusCode).toBe(200);
  });
});

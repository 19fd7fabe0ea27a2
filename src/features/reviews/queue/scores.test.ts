import { createHash, randomUUID } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { RandomHistory } from "../../../../test/support/random-history.js";
import { RiskRepository } from "./risk.repository.js";
import { ScoresRepository } from "./scores.repository.js";

const STEPS = Number(process.env.SCORED_STEPS ?? 24);
const NOBODY = "00000000-0000-7000-8000-000000000000";
const ALL = { after: null, before: null, backward: false, take: 10_000 };
const PARTS = [
  "failedAdvice",
  "copied",
  "outlier",
  "newTester",
  "affectsRanking",
  "withdrawnTries",
  "unconfirmedPack",
] as const;

let app: TestApp;
let history: RandomHistory;
let risks: RiskRepository;
const seen = new Set<string>();
const judged = new Map<string, unknown>();
beforeAll(async () => {
  app = await startTestApp();
  history = await RandomHistory.begin(app, 20);
  risks = app.nest.get(RiskRepository);
  await history.measureAll();
});
afterAll(() => app.close());

/** Waits until the jobs that the database has queued are done: nothing else scores here. */
async function scored(): Promise<void> {
  while (await app.nest.get(ScoresRepository).isLeft()) await delay(50);
}

const waiting = () => app.database.reviewScore.findMany({ where: { review: "pending" }, orderBy: { runId: "asc" } });

/** What changes a run that waits, or what its score rests on, beside what a history does. */
const DEEDS: readonly ((some: readonly string[]) => Promise<unknown>)[] = [
  async () => history.addWaiting(),
  async ([runId]) => history.withdrawWaiting(runId as string),
  async ([id]) => app.database.run.update({ where: { id: id as string }, data: { review: "info-requested" } }),
  async ([id]) => app.database.run.update({ where: { id: id as string }, data: { review: "rejected" } }),
  async (some) => {
    const [earlierRunId, laterRunId] = some.slice(0, 2).sort() as [string, string];
    // Two runs may be drawn that an earlier step drew already.
    const data = { earlierRunId, laterRunId, method: "1", agreements: [{}] };
    await app.database.copyMatch.createMany({ data, skipDuplicates: true });
  },
  async ([id]) => {
    const { packId } = await app.database.run.findUniqueOrThrow({ where: { id: id as string } });
    const { confirmedAt } = await app.database.pack.findUniqueOrThrow({ where: { id: packId as string } });
    const confirmed = confirmedAt ? { confirmedAt: null, confirmedById: null } : { confirmedAt: new Date() };
    const by = await app.database.account.findFirstOrThrow({ where: { handle: "mona" } });
    const data = { ...confirmed, ...(confirmedAt ? {} : { confirmedById: by.id }) };
    await app.database.pack.update({ where: { id: packId as string }, data });
  },
  async ([id, other]) => {
    // The same log of another tester, whose run is withdrawn later by chance.
    const { logSha256 } = await app.database.run.findUniqueOrThrow({ where: { id: id as string } });
    const like = await app.database.run.findUniqueOrThrow({ where: { id: other as string } });
    const { specimenId, benchId, testerId, protocolKey, protocolVersion } = like;
    const own = { id: randomUUID(), fileName: "log.csv", discharge: 9, logSha256 };
    await app.database.run.create({ data: { specimenId, benchId, testerId, protocolKey, protocolVersion, ...own } });
  },
  async () => {
    const where = { discharge: 9, review: { not: "withdrawn" } };
    const twin = await app.database.run.findFirst({ where });
    const data = { review: "withdrawn", withdrawal: 1 };
    if (twin) await app.database.run.update({ where: { id: twin.id }, data });
  },
];

it("the queue holds every run that waits, with the parts that a computation of all would give, whatever happens", async () => {
  for (let i = 0; i < 6; i++) await history.addWaiting();
  const done: string[] = [];
  for (let step = 1; step <= STEPS; step++) {
    done.push(await history.step());
    await history.addWaiting();
    const rows = await waiting();
    const order = (id: string) => createHash("sha256").update(`${step} ${id}`).digest("hex");
    const drawn = rows.map(({ runId }) => runId).sort((a, b) => (order(a) < order(b) ? -1 : 1));
    await DEEDS[step % DEEDS.length]?.(drawn);
    if (step % 3 > 0) continue;
    await scored();
    await compare(done);
  }
  expect([...seen].sort()).toEqual(PARTS.filter((part) => part !== "failedAdvice").sort());
  expect(judged.size).toBeGreaterThan(STEPS / 2);
});

it("the runs of a tester count as a newcomer's again once the last accepted one was taken back", async () => {
  const rows = await waiting();
  const acceptedOf = (testerId: string) => app.database.run.findMany({ where: { testerId, review: "accepted" } });
  const isKnown = (parts: unknown) => (parts as { newTester: boolean }).newTester === false;
  const { testerId } = rows.find(({ parts }) => isKnown(parts)) ?? {};
  if (!testerId) throw new Error("no tester with an accepted run has another that waits");
  // Past the standings, so that nothing else marks the tester's other runs.
  for (const { id } of await acceptedOf(testerId)) {
    await app.database.run.update({ where: { id }, data: { review: "rejected" } });
  }
  await scored();
  const own = (await waiting()).filter((row) => row.testerId === testerId);
  expect(own.length).toBeGreaterThan(0);
  expect(own.filter(({ parts }) => isKnown(parts))).toEqual([]);
  await compare(["taken back"]);
});

async function compare(done: readonly string[]): Promise<void> {
  for (const state of ["pending", "info-requested"]) {
    const expected = await app.database.$queryRaw<{ id: string }[]>`
      SELECT run.id::text FROM run WHERE run.review_state = ${state} AND run.state IN ('processed', 'failed')
        AND (${state} <> 'pending' OR run.appealed OR (run.state = 'processed' AND NOT run.outdated AND EXISTS (SELECT FROM evaluation
          WHERE evaluation.id = run.current_evaluation_id AND evaluation.verdict <> 'nonconforming')))`;
    const found = await risks.queue(state, NOBODY, ALL);
    expect(found.map(({ runId }) => runId).sort()).toEqual(expected.map(({ id }) => id).sort());
    expect(found.map(({ score }) => score)).toEqual(found.map(({ score }) => score).sort((a, b) => b - a));
    for (const { runId, score, parts } of found) {
      const whole = await risks.of(runId);
      expect({ runId, score, ...parts, done }).toEqual({ ...whole, done });
      for (const part of PARTS) if (parts?.[part]) seen.add(part);
      const { currentEvaluationId } = await app.database.run.findUniqueOrThrow({ where: { id: runId } });
      const name = `${runId} ${currentEvaluationId}`;
      expect(parts?.unusual).toEqual(judged.get(name) ?? parts?.unusual);
      judged.set(name, parts?.unusual);
    }
  }
}

import { afterAll, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { QueuedRuns } from "../../../../test/support/queued-runs.js";

const TESTERS = ["anna", "bruno", "carla"];

let app: TestApp;
let runs: QueuedRuns;
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false });
  runs = new QueuedRuns(app);
  for (const tester of TESTERS) await runs.addTester(tester);
});
afterAll(() => app.close());

const serveAll = async (): Promise<string[]> => {
  const served: string[] = [];
  for (let next = await runs.serve(); next !== null; next = await runs.serve()) served.push(next);
  return served;
};
const testerOf = (run: string) => run.split(" ")[0];
const queueOfRun = async (id: string) => {
  const [job] = await app.database.$queryRaw<{ priority: number }[]>`
    SELECT priority FROM graphile_worker.jobs WHERE key = ${`evaluate-run:${id}`}`;
  return job?.priority;
};

beforeEach(async () => {
  await serveAll();
  while ((await runs.serve({ longLog: true })) !== null);
});

describe("the order of evaluations", () => {
  it("takes a tester's only run next, behind 250 of another or not", async () => {
    const own = await runs.add("anna", 250);
    for (let i = 0; i < 100; i++) await runs.serve();
    const others = await runs.add("bruno", 1);
    const next = [await runs.serve(), await runs.serve()];
    expect(next).toContain(others[0]);
    expect(next.filter((run) => own.includes(run ?? ""))).toHaveLength(1);
  });

  it("serves by turns testers of whom many runs wait, whoever came first and whatever was served before", async () => {
    await runs.add("anna", 30);
    for (let i = 0; i < 20; i++) await runs.serve();
    await runs.add("bruno", 8);
    const served = (await serveAll()).map(testerOf);
    // Of any stretch of six while both wait, neither has more than four.
    for (let i = 0; i + 6 <= 16; i++) {
      const annas = served.slice(i, i + 6).filter((tester) => tester === "anna").length;
      expect([2, 3, 4]).toContain(annas);
    }
  });

  it("gives runs that a tester sends at the same time a turn each", async () => {
    await Promise.all(Array.from({ length: 4 }, () => runs.add("anna", 5)));
    const turns = await app.database.run.findMany({ where: { state: "queued" }, select: { evaluationTurn: true } });
    const sorted = turns.map(({ evaluationTurn }) => evaluationTurn).sort((a, b) => a - b);
    expect(sorted).toEqual(sorted.map((_, i) => (sorted[0] ?? 0) + i));
  });

  it("counts long logs apart: many of them do not push back a tester's short ones", async () => {
    await runs.add("anna", 10, { longLog: true });
    const [short] = await runs.add("anna", 1);
    await runs.add("bruno", 5);
    expect([await runs.serve(), await runs.serve()]).toContain(short);
  });

  it("counts anew before its numbers run out, and keeps the order", async () => {
    await runs.add("anna", 3);
    await app.database.$executeRaw`UPDATE run SET evaluation_turn = evaluation_turn + 12000 WHERE state = 'queued'`;
    const late = await runs.add("bruno", 1);
    const pending = await app.database.run.findMany({ where: { state: "queued" } });
    for (const { id, evaluationTurn } of pending) {
      expect(evaluationTurn).toBeLessThan(10);
      expect(await queueOfRun(id)).toBe(evaluationTurn);
    }
    expect([await runs.serve(), await runs.serve()]).toContain(late[0]);
  });

  // The same bound as of the threads' queue: Goyal, Vin and Cheng, SIGCOMM 1996, from memory.
  it("lets nobody's n-th run that waits stand behind more than n + 1 of anybody else", async () => {
    const step = fc.oneof(fc.constantFrom(...TESTERS), fc.constant(null));
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 40 }), async (steps) => {
        const ranks = new Map<string, { rank: number; from: number }>();
        const served: string[] = [];
        const note = (run: string) => {
          const { rank, from } = ranks.get(run) ?? { rank: 0, from: 0 };
          for (const other of TESTERS.filter((tester) => tester !== testerOf(run))) {
            const before = served.slice(from).filter((one) => testerOf(one) === other).length;
            expect(before).toBeLessThanOrEqual(rank + 1);
          }
          served.push(run);
        };
        for (const tester of steps) {
          if (tester === null) {
            const next = await runs.serve();
            if (next) note(next);
            continue;
          }
          const waiting = [...ranks.keys()].filter((run) => testerOf(run) === tester && !served.includes(run)).length;
          const [run = ""] = await runs.add(tester, 1);
          ranks.set(run, { rank: waiting + 1, from: served.length });
        }
        for (const run of await serveAll()) note(run);
        expect(served).toHaveLength(steps.filter((one) => one !== null).length);
      }),
      { numRuns: 25, seed: 5 },
    );
  });
});

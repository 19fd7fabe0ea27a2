import { createHash, randomUUID } from "node:crypto";
import { EvaluationTurnsRepository } from "../../src/features/runs/evaluation/evaluation-turns.repository.js";
import { EVALUATE_RUN } from "../../src/features/runs/jobs.js";
import { Prisma } from "../../src/generated/prisma/client.js";
import { bytesText } from "../../src/platform/database/rows/insert-rows.js";
import type { TestApp } from "./app.js";
import { logCase, register } from "./uploads.js";

/** Testers who queue runs, without the cost of sending and evaluating them. */
export class QueuedRuns {
  private readonly testers = new Map<string, { testerId: string; specimenId: string; benchId: string }>();
  /** Name of each run by its id: that of its tester and its number. */
  readonly names = new Map<string, string>();

  constructor(private readonly app: TestApp) {}

  async addTester(handle: string): Promise<void> {
    const headers = await this.app.signIn(handle);
    const { specimenId, benchId } = await register(this.app, headers, `Pack of ${handle}`, logCase("too-hot"));
    const { ownerId: testerId } = await this.app.database.bench.findUniqueOrThrow({ where: { id: benchId } });
    this.testers.set(handle, { testerId, specimenId, benchId });
  }

  /** Stores and queues runs of a tester, each in a transaction of its own. Returns their names. */
  async add(handle: string, count: number, { longLog = false } = {}): Promise<string[]> {
    const tester = this.testers.get(handle);
    if (!tester) throw new Error(`there is no tester ${handle}`);
    const names: string[] = [];
    for (let i = 0; i < count; i++) {
      const id = randomUUID();
      const logSha256 = createHash("sha256").update(id).digest() as Buffer<ArrayBuffer>;
      const name = `${handle} ${[...this.names.values()].filter((one) => one.startsWith(`${handle} `)).length}`;
      const run = { id, ...tester, protocolKey: "full-load", protocolVersion: 1, logSha256, fileName: name, longLog };
      // A worker may begin it before the transaction's end is heard of here.
      this.names.set(id, name);
      await this.app.database.$transaction(async (tx) => {
        await tx.log.create({ data: { sha256: logSha256, bytes: 0n, mediaType: "text/csv" } });
        const turns = this.app.nest.get(EvaluationTurnsRepository);
        await turns.hold(tx);
        // As an upload is stored, and as one that is tried again.
        if (i % 2 === 0) await turns.insert(tx, { ...run, logSha256: bytesText(logSha256) }, Prisma.sql`1 AS nothing`);
        else {
          await tx.run.create({ data: run });
          await turns.queue(tx, id);
        }
      });
      names.push(name);
    }
    return names;
  }

  nameOf(payload: unknown): string {
    const name = this.names.get((payload as { runId: string }).runId);
    if (name === undefined) throw new Error("no run of this test is queued under that id");
    return name;
  }

  /** Notes that a run does not wait any more. */
  async settle(runId: string): Promise<void> {
    const error = { code: "log-empty", message: "" };
    await this.app.database.run.updateMany({ where: { id: runId }, data: { state: "failed", error } });
  }

  /** Takes the next job out of the queue as a worker would, and settles its run. Returns the run's name; null when none waits. */
  async serve({ longLog = false } = {}): Promise<string | null> {
    const [job] = await this.app.database.$queryRaw<{ id: bigint; key: string }[]>`
      SELECT id, key FROM graphile_worker.jobs
      WHERE task_identifier = ${EVALUATE_RUN} AND coalesce(flags ? 'long', false) = ${longLog} ORDER BY priority, run_at, id LIMIT 1`;
    if (!job) return null;
    await this.app.database.$queryRaw`SELECT count(*) FROM graphile_worker.complete_jobs(array[${job.id}::bigint])`;
    const runId = job.key.slice(EVALUATE_RUN.length + 1);
    await this.settle(runId);
    return this.names.get(runId) ?? null;
  }
}

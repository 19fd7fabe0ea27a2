import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { createRandom, type Random } from "../../seed/simulator/random.js";
import { freePort, isReady } from "./network.js";
import { DatabaseServer, Program } from "./processes.js";
import { type Findings, inspectRecord } from "./record.js";
import { built, trialEnvironment } from "./trial-programs.js";
import { Uploaders } from "./uploaders.js";

/** What is killed: a process, the database's first process, all of its processes, or one of its connections. */
const TARGETS = ["service", "worker", "postmaster", "database", "connection"] as const;
type Target = (typeof TARGETS)[number];
export type KillCounts = Readonly<Record<Target, number>>;

const UPLOADERS = 3;

/** Who uses the service meanwhile. */
interface Clients extends Pick<Uploaders, "acknowledged" | "offered" | "answers" | "serverErrors" | "begin" | "end"> {}

export interface KillOptions {
  readonly kills: number;
  readonly seed: number;
  /** Uploaders unless given. */
  readonly clients?: (url: string) => Clients;
  /** Variables of service and worker beside the usual ones. */
  readonly settings?: Readonly<Record<string, string>>;
  /** Looks at the record in the end, once the queue is done. */
  readonly inspect?: (connectionString: string) => Promise<void>;
  readonly onProgress?: (progress: { readonly kills: number; readonly acknowledged: number }) => void;
}

export interface KillSummary extends Findings {
  readonly kills: number;
  readonly killsByTarget: KillCounts;
  /** Runs that clients sent, each until it was acknowledged. */
  readonly offered: number;
  readonly acknowledged: number;
  readonly answers: Readonly<Record<string, number>>;
  /** How long the service took from each start to being ready, in the middle and at most, s. */
  readonly startSeconds: { readonly median: number; readonly longest: number };
  /** Answers 500. */
  readonly serverErrors: number;
  /** How often a program ended without being killed, and was started again. */
  readonly endedByThemselves: number;
  readonly seconds: number;
  /** Where the logs of service and worker are, kept when anything was found wrong. */
  readonly logs: string | null;
}

/** Uploads runs while processes are killed at random instants, and says what became of the runs. */
export async function runKills({
  kills,
  seed,
  onProgress,
  clients = (url) => new Uploaders(url),
  settings = {},
  inspect,
}: KillOptions): Promise<KillSummary> {
  const startedAt = performance.now();
  const random = createRandom(seed);
  const folder = await mkdtemp(join(tmpdir(), "packledger-kills-"));
  const database = new DatabaseServer(folder);
  const url = `http://127.0.0.1:${await freePort()}`;
  const connectionString = await database.start();
  const environment = trialEnvironment(connectionString, url, {
    DATABASE_CONNECTIONS: "5",
    // The worker that is killed is a program of its own.
    RUN_JOBS: "false",
    // An answer that waits for figures for longer than it is to the next kill would never come.
    WAIT_SECONDS: "1",
    ...settings,
  });
  const service = new Program(built("main.js"), environment, join(folder, "service.log"), () => isReady(url));
  const worker = new Program(built("worker.js"), environment, join(folder, "worker.log"), async () => true);
  const killsByTarget: Record<Target, number> = { service: 0, worker: 0, postmaster: 0, database: 0, connection: 0 };
  let isClean = false;
  try {
    await service.start();
    await worker.start();
    const uploaders = clients(url);
    await uploaders.begin(UPLOADERS);
    for (let done = 1; done <= kills; done++) {
      await delay(random.between(20, 1200));
      const target = pick(TARGETS, random);
      killsByTarget[target]++;
      await kill(target);
      onProgress?.({ kills: done, acknowledged: uploaders.acknowledged.length });
      await service.restartIfEnded();
      await worker.restartIfEnded();
    }
    await uploaders.end();
    const { acknowledged, offered, answers, serverErrors } = uploaders;
    const findings = await inspectRecord(connectionString, acknowledged);
    await inspect?.(connectionString);
    const seconds = (performance.now() - startedAt) / 1000;
    const endedByThemselves = service.endedByItself + worker.endedByItself;
    const startSeconds = middleAndLongest(service.startSeconds);
    const sent = { offered, acknowledged: acknowledged.length, answers, serverErrors };
    const counts = { kills, killsByTarget, ...sent, endedByThemselves, startSeconds };
    const { lost, changed, unfinished, evaluatedTwice, jobsLeft } = findings;
    const faults = lost.length + changed.length + unfinished.length + evaluatedTwice.length + jobsLeft + serverErrors;
    isClean = faults === 0;
    return { ...findings, ...counts, seconds, logs: isClean ? null : folder };
  } finally {
    await service.kill();
    await worker.kill();
    await database.stop();
    if (isClean) await rm(folder, { recursive: true, force: true });
  }

  async function kill(target: Target): Promise<void> {
    if (target === "connection") return database.killOneConnection((pids) => pick(pids, random));
    if (target === "service" || target === "worker") {
      const program = target === "service" ? service : worker;
      await program.kill();
      await delay(random.between(0, 200));
      return program.start();
    }
    await (target === "postmaster" ? database.killPostmaster() : database.killAll());
    await delay(random.between(0, 500));
    await database.start();
  }
}

function middleAndLongest(values: readonly number[]) {
  const sorted = values.toSorted((one, other) => one - other);
  return { median: sorted[Math.floor(sorted.length / 2)] ?? Number.NaN, longest: sorted.at(-1) ?? Number.NaN };
}

function pick<T>(values: readonly T[], random: Random): T {
  return values[Math.floor(random.uniform() * values.length)] as T;
}

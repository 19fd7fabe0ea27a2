import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { parseArgs } from "node:util";
import { Client } from "pg";
import { startEmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";
import { logNumber } from "../../test/durability/league-logs.js";
import { freePort, isReady } from "../../test/durability/network.js";
import { Program } from "../../test/durability/processes.js";
import { built, trialEnvironment } from "../../test/durability/trial-programs.js";
import { processorSeconds } from "./processes.js";
import { CAPACITIES_MAH, gather, type Tester, upload } from "./testers.js";
import { Waits } from "./waits.js";

// Testers who upload without pause to several services on one PostgreSQL server, whose runs several workers evaluate: what is evaluated a second, on
// what processor time, and what the connections to the database wait for.

const { values } = parseArgs({
  options: {
    testers: { type: "string", default: "20" },
    services: { type: "string", default: "2" },
    workers: { type: "string", default: "1,2,4" },
    seconds: { type: "string", default: "30" },
  },
});
const [testers, seconds, services] = [Number(values.testers), Number(values.seconds), Number(values.services)];
const LOGS_PER_SECOND = 30;

const folder = await mkdtemp(join(tmpdir(), "packledger-workers-"));
const server = await startEmbeddedServer(join(folder, "data"));
const started: Program[] = [];
const client = new Client({ connectionString: server.ownerConnectionString.replace(/\/postgres$/, "/packledger") });
try {
  const urls: string[] = [];
  for (let n = 0; n < services; n++) urls.push(await startOne());
  await client.connect();
  const gathered = await gather(urls[0] as string, testers);
  const workers: Program[] = [];
  let nextLog = 0;
  for (const count of values.workers.split(",").map(Number)) {
    while (workers.length < count) workers.push(await startWorker(workers.length));
    await measure(urls, gathered, { workers, from: nextLog });
    nextLog += seconds * LOGS_PER_SECOND;
  }
} finally {
  for (const program of started) await program.kill();
  await client.end();
  await server.stop();
  await rm(folder, { recursive: true });
}

interface Round {
  readonly workers: readonly Program[];
  /** Number of the first log: no log is sent twice. */
  readonly from: number;
}

async function measure(urls: readonly string[], gathered: readonly Tester[], { workers, from }: Round): Promise<void> {
  const logs: string[] = [];
  for (let number = 0; number < seconds * LOGS_PER_SECOND; number++) {
    const file = join(folder, `${number}.csv`);
    await writeFile(file, logNumber(from + number, CAPACITIES_MAH[number % CAPACITIES_MAH.length] as number));
    logs.push(file);
  }
  // What the last round left is done before this one begins.
  while (
    (await counted("select count(*) from graphile_worker.jobs where attempts < max_attempts and run_at <= now()")) > 0
  )
    await delay(200);
  const before = { evaluated: await evaluated(), workers: processorOf(workers), all: processorSeconds(process.pid) };
  const waits = new Waits(client);
  const end = AbortSignal.timeout(seconds * 1_000);
  const begun = performance.now();
  const [taken] = await Promise.all([
    Promise.all(urls.map((url, n) => upload(url, part(gathered, n), part(logs, n, CAPACITIES_MAH.length), end))),
    waits.sample(end),
  ]);
  const done = (await evaluated()) - before.evaluated;
  const elapsed = (performance.now() - begun) / 1_000;
  const ofWorkers = processorOf(workers) - before.workers;
  const ofAll = processorSeconds(process.pid) - before.all;
  console.log(`${workers.length} workers, ${urls.length} services, load average ${loadavg()[0]?.toFixed(1)}`);
  console.log(`  evaluated        ${(done / elapsed).toFixed(1)} a second, ${done} in ${elapsed.toFixed(0)} s`);
  for (const [n, times] of taken.entries()) console.log(`  service ${n + 1}        ${times.inWords}`);
  console.log(
    `  processor time   ${ofAll.toFixed(0)} s in all, of workers ${ofWorkers.toFixed(0)} s, ${((1_000 * ofAll) / done).toFixed(0)} ms a run`,
  );
  console.log(`  ${waits.inWords(done / elapsed)}`);
}

/** The part of a list that one of the services has, a multiple of `unit`. */
function part<T>(all: readonly T[], n: number, unit = 1): T[] {
  const size = unit * Math.floor(all.length / services / unit);
  return all.slice(n * size, (n + 1) * size);
}

function processorOf(programs: readonly Program[]): number {
  return programs.reduce((sum, { pid }) => sum + (pid === undefined ? 0 : processorSeconds(pid)), 0);
}

async function counted(sql: string): Promise<number> {
  const { rows } = await client.query<{ count: string }>(sql);
  return Number(rows[0]?.count);
}

function evaluated(): Promise<number> {
  return counted("select count(*) from evaluation");
}

async function startOne(): Promise<string> {
  const url = `http://127.0.0.1:${await freePort()}`;
  const environment = environmentAt(url, { RUN_JOBS: "false", TRUST_PROXY: "127.0.0.1" });
  await start(new Program(built("main.js"), environment, join(folder, `${started.length}.log`), () => isReady(url)));
  return url;
}

async function startWorker(number: number): Promise<Program> {
  const port = await freePort();
  const environment = environmentAt("http://127.0.0.1:1", { WORKER_PORT: String(port) });
  const log = join(folder, `worker-${number}.log`);
  return start(new Program(built("worker.js"), environment, log, () => isReady(`http://127.0.0.1:${port}`)));
}

async function start(program: Program): Promise<Program> {
  started.push(program);
  await program.start();
  return program;
}

function environmentAt(url: string, more: Readonly<Record<string, string>>) {
  const usual = { LIMIT_UPLOADS: "1000000", DATA_DIR: join(folder, "files") };
  return trialEnvironment(server.connectionString, url, { ...usual, ...more });
}

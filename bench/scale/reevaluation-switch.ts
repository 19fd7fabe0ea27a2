import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { parseArgs } from "node:util";
import { Client } from "pg";
import { COMPUTATION_VERSION } from "../../src/core/model.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startEmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";
import { freePort, isReady } from "../../test/durability/network.js";
import { Program } from "../../test/durability/processes.js";
import { newestProtocol } from "../../test/support/protocols.js";
import { fill } from "./fill.js";

// The end of a re-evaluation of a filled record: every run is evaluated anew already, by the same figures, and the service has to switch.

const { values } = parseArgs({
  options: { packs: { type: "string", default: "4000" }, runs: { type: "string", default: "40000" } },
});
const packs = Number(values.packs);
const runs = Number(values.runs);
const ID = "00000009-0000-7000-8000-000000000001";
/** Each evaluation again, under the present computation, and what the queue is told. */
const STATEMENTS = [
  "SET session_replication_role = replica",
  "SET synchronous_commit = off",
  `UPDATE evaluation SET computation_version = ${COMPUTATION_VERSION - 1}`,
  `UPDATE standing SET computation_version = ${COMPUTATION_VERSION - 1}`,
  `UPDATE standing_history SET computation_version = ${COMPUTATION_VERSION - 1}`,
  `UPDATE active_version SET computation_version = ${COMPUTATION_VERSION - 1} WHERE protocol_key = 'full-load'`,
  `INSERT INTO evaluation (id, run_id, protocol_key, protocol_version, computation_version, log_sha256, verdict, rows, columns, samples,
     rate_hz, duration_s, stop)
   SELECT overlay(id::text placing '7' from 8)::uuid, run_id, protocol_key, protocol_version, ${COMPUTATION_VERSION}, log_sha256, verdict, rows, columns,
     samples, rate_hz, duration_s, stop FROM evaluation`,
  `INSERT INTO figure (evaluation_id, key, basis, load, value, unit, uncertainty, own_uncertainty, kinetics_uncertainty,
     resistance_uncertainty, form_uncertainty, bound, budget)
   SELECT overlay(evaluation_id::text placing '7' from 8)::uuid, key, basis, load, value * 1.001, unit, uncertainty, own_uncertainty,
     kinetics_uncertainty, resistance_uncertainty, form_uncertainty, bound, budget FROM figure`,
  `INSERT INTO reevaluation (id, protocol_key, protocol_version, computation_version, dry_run, total, done)
   VALUES ('${ID}', 'full-load', ${newestProtocol("full-load").version}, ${COMPUTATION_VERSION}, false, ${runs}, ${runs})`,
  `INSERT INTO reevaluation_run (reevaluation_id, run_id, outcome, verdict, failed_rules, evaluation_id)
   SELECT '${ID}', id, 'evaluated', 'conforming', '{}', overlay(current_evaluation_id::text placing '7' from 8)::uuid FROM run`,
  "SET session_replication_role = origin",
  "VACUUM (ANALYZE)",
  `SELECT graphile_worker.add_job('finish-reevaluation', json_build_object('reevaluationId', '${ID}'), job_key => 'finish-reevaluation:${ID}')`,
];

/** Processor time of a process and of those that it started, in seconds. */
async function processorSeconds(pid: number): Promise<number> {
  const fields = (await readFile(`/proc/${pid}/stat`, "utf8")).split(") ")[1]?.split(" ") ?? [];
  return (Number(fields[11]) + Number(fields[12])) / 100;
}

async function residentMebibytes(pid: number): Promise<number> {
  return Number(/VmRSS:\s+(\d+)/.exec(await readFile(`/proc/${pid}/status`, "utf8"))?.[1]) / 1024;
}

const folder = await mkdtemp(join(tmpdir(), "packledger-switch-"));
const database = await startEmbeddedServer(join(folder, "data"));
const owner = new URL(database.ownerConnectionString);
owner.pathname = new URL(database.connectionString).pathname;
const port = await freePort();
const url = `http://127.0.0.1:${port}`;
const environment = { DATABASE_URL: database.connectionString, PORT: String(port), DEMO: "false", LOG_LEVEL: "error" };
const program = join(projectRoot, "dist", "src", "main.js");
const service = new Program(program, environment, join(folder, "service.log"), () => isReady(url));
const client = new Client({ connectionString: owner.href });
try {
  await service.start();
  await service.kill();
  await fill(owner.href, { packs, runs, runsOfOne: 100 });
  await client.connect();
  for (const statement of STATEMENTS) await client.query(statement);
  console.log(`${packs} packs, ${runs} runs`);
  const begun = performance.now();
  await service.start();
  const pid = service.pid ?? 0;
  const longest = new Map<string, { readonly seconds: number; readonly processor: readonly [number, number] }>();
  let peak = 0;
  for (let ended = false; !ended; await delay(20)) {
    const { rows } = await client.query<{ pid: number; name: string; seconds: number }>(
      `SELECT pid, pid || ' ' || xact_start AS name, extract(epoch FROM clock_timestamp() - xact_start)::float8 AS seconds
       FROM pg_stat_activity WHERE datname = current_database() AND usename <> current_user AND backend_xid IS NOT NULL`,
    );
    for (const { pid: backend, name, seconds } of rows) {
      const processor = await processorSeconds(backend);
      longest.set(name, { seconds, processor: [longest.get(name)?.processor[0] ?? processor, processor] });
    }
    peak = Math.max(peak, await residentMebibytes(pid));
    const [row] = (await client.query<{ state: string }>(`SELECT state FROM reevaluation WHERE id = '${ID}'`)).rows;
    ended = row?.state !== "evaluating";
    if (ended) console.log(`state                       ${row?.state}`);
  }
  const seconds = (performance.now() - begun) / 1000;
  const [first, second] = [...longest.values()].sort((a, b) => b.seconds - a.seconds);
  const [from = 0, to = 0] = first?.processor ?? [];
  const processor = await processorSeconds(pid);
  console.log(`whole end                   ${seconds.toFixed(1)} s`);
  console.log(`longest transaction         ${first?.seconds.toFixed(2)} s, the next ${second?.seconds.toFixed(2)} s`);
  console.log(
    `of it, the database         ${(to - from).toFixed(2)} s of processor time, ${(((to - from) / packs) * 1000).toFixed(2)} ms a pack`,
  );
  console.log(
    `processor time of service   ${processor.toFixed(1)} s, ${((processor / packs) * 1000).toFixed(2)} ms a pack`,
  );
  console.log(`peak of resident memory     ${peak.toFixed(0)} MiB`);
} finally {
  await client.end();
  await service.kill();
  await database.stop();
  await rm(folder, { recursive: true, force: true });
}

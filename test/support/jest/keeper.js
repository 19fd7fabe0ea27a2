// Run as a process of its own beside a test run: keeps the run's database, and clears up after the run, however it ends.
import { readdirSync, readFileSync } from "node:fs";
import { rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";
import { startTemporaryServer } from "../../../dist/src/platform/database/opening/temporary-database.js";
import { prepareDatabase } from "../../../dist/src/prepare-database.js";

const folder = tmpdir();

/** Processes that have the run's folder in their environment or in their command line, where the system shows it. */
function processesOfRun() {
  if (process.platform !== "linux") return [];
  const pids = readdirSync("/proc").filter((name) => /^\d+$/.test(name));
  return pids.map(Number).filter((pid) => pid !== process.pid && isOfRun(pid));
}

function isOfRun(pid) {
  try {
    return ["environ", "cmdline"].some((file) => readFileSync(`/proc/${pid}/${file}`, "utf8").includes(folder));
  } catch {
    // It ended meanwhile, or is another account's.
    return false;
  }
}

function end(pid) {
  try {
    process.kill(pid, "SIGKILL");
  } catch (error) {
    if (error.code !== "ESRCH") throw error;
  }
}

async function clearUp(server) {
  await server?.stop();
  for (let left = processesOfRun(); left.length > 0; left = processesOfRun()) {
    left.forEach(end);
    await delay(50);
  }
  await rm(folder, { recursive: true, force: true });
}

/** Half an hour off whole hours, and behind UTC: days begin at other times there, and nothing is right by chance. */
const ZONE = "America/St_Johns";

/**
 * Tests stand for whoever may do everything in the database: they switch triggers off, which the service's role may not. And an own server
 * may be in any time zone.
 */
async function setUpServer({ connectionString, ownerConnectionString }) {
  const client = new Client({ connectionString: ownerConnectionString });
  await client.connect();
  const role = client.escapeIdentifier(new URL(connectionString).username);
  await client.query(`GRANT SET ON PARAMETER session_replication_role TO ${role}`);
  await client.query(`ALTER SYSTEM SET timezone = '${ZONE}'`);
  await client.query("SELECT pg_reload_conf()");
  await client.end();
}

// The run may end before its database stands.
const runEnded = new Promise((resolve) => process.once("disconnect", resolve));
const server = await startTemporaryServer();
await prepareDatabase(server.connectionString);
await setUpServer(server);
if (process.connected) process.send({ template: server.connectionString, owner: server.ownerConnectionString });
await runEnded;
await clearUp(server);

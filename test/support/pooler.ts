import { spawn } from "node:child_process";
import { once } from "node:events";
import { chown, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";
import { serverAccount } from "../../src/platform/database/embedded/server-account.js";
import { freePort } from "../durability/network.js";

export interface Pooler {
  readonly connectionString: string;
  stop(): Promise<void>;
}

/** Fewer than the service opens, so that transactions share them. */
const SERVER_CONNECTIONS = 3;
const PATIENCE_MS = 10_000;

/**
 * Debian's PgBouncer in transaction mode before a database, on the loopback address. Who connects is not asked for a password: the pooler has it.
 *
 * @param program its file, such as /usr/sbin/pgbouncer
 */
export async function startPooler(program: string, database: string): Promise<Pooler> {
  const { hostname, port: serverPort, username, password, pathname } = new URL(database);
  const folder = await mkdtemp(join(tmpdir(), "packledger-pooler-"));
  const port = await freePort();
  const name = pathname.slice(1);
  const settings = [
    "[databases]",
    `${name} = host=${hostname} port=${serverPort} dbname=${name} user=${username} password=${password}`,
    "[pgbouncer]",
    "listen_addr = 127.0.0.1",
    `listen_port = ${port}`,
    "unix_socket_dir =",
    "auth_type = any",
    "pool_mode = transaction",
    `default_pool_size = ${SERVER_CONNECTIONS}`,
  ];
  const file = join(folder, "pgbouncer.ini");
  await writeFile(file, `${settings.join("\n")}\n`, { mode: 0o600 });
  // It refuses to run as root.
  const account = await serverAccount();
  if (account) for (const owned of [folder, file]) await chown(owned, account.uid, account.gid);
  const pooler = spawn(program, ["-q", file], {
    ...(account ?? {}),
    cwd: folder,
    stdio: ["ignore", "ignore", "inherit"],
  });
  const ended = once(pooler, "exit");
  const through = Object.assign(new URL(database), { port: String(port) }).href;
  const stop = async () => {
    pooler.kill("SIGQUIT");
    await ended;
    await rm(folder, { recursive: true, force: true });
  };
  for (const until = performance.now() + PATIENCE_MS; ; await delay(25)) {
    if (await answers(through)) return { connectionString: through, stop };
    if (pooler.exitCode !== null || performance.now() > until) {
      await stop();
      throw new Error(`${program} does not answer`);
    }
  }
}

async function answers(connectionString: string): Promise<boolean> {
  const client = new Client({ connectionString });
  try {
    await client.connect();
    return true;
  } catch {
    return false;
  } finally {
    await client.end();
  }
}

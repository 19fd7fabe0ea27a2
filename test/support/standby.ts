import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { cp, mkdir, rm, writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";
import { findBinaries } from "../../src/platform/database/embedded/binaries.js";
import type { EmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";
import { serverEnvironment } from "../../src/platform/database/embedded/initialise.js";
import { planLaunch, serverAccount } from "../../src/platform/database/embedded/server-account.js";
import { freePort } from "../durability/network.js";

const LOOK_AGAIN_MS = 25;
const PATIENCE_MS = 60_000;

/** A streaming copy of an embedded server, from the same programs (PostgreSQL: "Log-Shipping Standby Servers"). */
export class Standby {
  private server: ChildProcess | undefined;

  private constructor(
    private readonly folder: string,
    private readonly port: number,
    private readonly primaryConninfo: string,
    /** As the service's own role. */
    readonly connectionString: string,
    private readonly ownerConnectionString: string,
  ) {}

  /**
   * Copies a running server's files in backup mode and starts a standby on them.
   *
   * @param databaseFolder where the primary's files are
   * @param folder for the copy, new and empty
   */
  static async of(primary: EmbeddedServer, databaseFolder: string, folder: string): Promise<Standby> {
    await mkdir(folder, { mode: 0o711 });
    const files = join(folder, "database");
    await withClient(primary.ownerConnectionString, async (client) => {
      await client.query("select pg_backup_start('standby', true)");
      const isCopied = (path: string) => !["postmaster.pid", "postmaster.opts"].includes(basename(path));
      await cp(databaseFolder, files, { recursive: true, filter: isCopied });
      const { rows } = await client.query<{ labelfile: string }>("select labelfile from pg_backup_stop(false)");
      await writeFile(join(files, "backup_label"), rows[0]?.labelfile ?? "");
    });
    await writeFile(join(files, "standby.signal"), "");
    const port = await freePort();
    const { hostname, port: primaryPort, username, password } = new URL(primary.ownerConnectionString);
    const at = (address: string) => Object.assign(new URL(address), { port: String(port) }).href;
    const standby = new Standby(
      files,
      port,
      `host=${hostname} port=${primaryPort} user=${username} password=${password}`,
      at(primary.connectionString),
      at(primary.ownerConnectionString),
    );
    await standby.start();
    return standby;
  }

  async start(): Promise<void> {
    const { postgres } = await findBinaries();
    const account = await serverAccount();
    if (account) execFileSync("chown", ["-R", `${account.uid}:${account.gid}`, this.folder]);
    const settings = [
      "listen_addresses=127.0.0.1",
      "unix_socket_directories=",
      "fsync=off",
      "wal_retrieve_retry_interval=100ms",
      `primary_conninfo=${this.primaryConninfo}`,
    ];
    const args = ["-D", this.folder, "-p", String(this.port), ...settings.flatMap((setting) => ["-c", setting])];
    const plan = await planLaunch(postgres, this.folder, args, account);
    const options = { ...(plan.account ?? {}), cwd: this.folder, env: serverEnvironment(), stdio: "ignore" } as const;
    this.server = spawn(plan.command, [...plan.args], options);
    const deadline = performance.now() + PATIENCE_MS;
    while (!(await this.answers())) {
      if (performance.now() > deadline || this.server.exitCode !== null) throw new Error("the standby did not start");
      await delay(LOOK_AGAIN_MS);
    }
  }

  /** From now on the standby takes what comes and shows none of it. */
  pause(): Promise<void> {
    return withClient(this.ownerConnectionString, async (client) => {
      await client.query("select pg_wal_replay_pause()");
      const isPaused = async () =>
        (await client.query("select pg_get_wal_replay_pause_state() = 'paused' as yes")).rows[0]?.yes === true;
      while (!(await isPaused())) await delay(1);
    });
  }

  resume(): Promise<void> {
    return withClient(this.ownerConnectionString, async (client) => {
      await client.query("select pg_wal_replay_resume()");
    });
  }

  /** Makes it a server of its own, which follows nobody. */
  promote(): Promise<void> {
    return withClient(this.ownerConnectionString, async (client) => {
      await client.query("select pg_promote()");
    });
  }

  /** Ends it as a lost machine would, as far as connections are concerned: at once, without a word to who waits. */
  async kill(): Promise<void> {
    const { server } = this;
    if (!server || server.exitCode !== null || server.signalCode !== null) return;
    const ended = once(server, "exit");
    // "Immediate Shutdown": PostgreSQL documentation, "Shutting Down the Server". None of its processes stays.
    server.kill("SIGQUIT");
    await ended;
  }

  async remove(): Promise<void> {
    await this.kill();
    await rm(this.folder, { recursive: true, force: true });
  }

  private async answers(): Promise<boolean> {
    try {
      await withClient(this.ownerConnectionString, (client) => client.query("select"));
      return true;
    } catch {
      return false;
    }
  }
}

async function withClient<T>(connectionString: string, work: (client: Client) => Promise<T>): Promise<T> {
  const client = new Client({ connectionString });
  try {
    await client.connect();
    return await work(client);
  } finally {
    await client.end();
  }
}

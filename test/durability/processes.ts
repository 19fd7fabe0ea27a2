import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdir, open, readFile } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { type EmbeddedServer, startEmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";

/** So long that only what never comes is given up, ms. */
const PATIENCE_MS = 900_000;

/** A program of the build, run as a process of its own that can be killed and started again. */
export class Program {
  private process: ChildProcess | undefined;

  constructor(
    private readonly script: string,
    private readonly environment: Readonly<Record<string, string>>,
    private readonly logFile: string,
    /** Whether it is up. */
    private readonly isUp: () => Promise<boolean>,
    private readonly args: readonly string[] = [],
  ) {}

  /** How often it ended without being killed, and was started again as a supervisor would. */
  endedByItself = 0;
  /** How long it took from each start to being up. */
  readonly startSeconds: number[] = [];

  async start(): Promise<void> {
    const startedAt = performance.now();
    let started = await this.spawn();
    for (let waitedMs = 0; waitedMs < PATIENCE_MS; waitedMs += 50) {
      if (started.exitCode !== null || started.signalCode !== null) {
        this.endedByItself++;
        started = await this.spawn();
      }
      if (await this.isUp()) {
        this.startSeconds.push((performance.now() - startedAt) / 1_000);
        return;
      }
      await delay(50);
    }
    throw new Error(`${this.script} did not come up; see ${this.logFile}`);
  }

  async restartIfEnded(): Promise<void> {
    const { exitCode = null, signalCode = null } = this.process ?? {};
    if (exitCode === null && signalCode === null) return;
    this.endedByItself++;
    await this.start();
  }

  /** Its number; none while it does not run. */
  get pid(): number | undefined {
    return this.process?.pid;
  }

  private async spawn(): Promise<ChildProcess> {
    const log = await open(this.logFile, "a");
    const started = spawn(process.execPath, [this.script, ...this.args], {
      env: { ...process.env, ...this.environment },
      stdio: ["ignore", log.fd, log.fd],
    });
    await log.close();
    this.process = started;
    return started;
  }

  /** With the worker that it may have beside it. */
  async kill(): Promise<void> {
    const { process: running } = this;
    if (!running || running.exitCode !== null || running.signalCode !== null) return;
    const ended = once(running, "exit");
    const worker = workerBeside(running.pid as number);
    running.kill("SIGKILL");
    if (worker !== null) killIfThere(worker);
    await ended;
  }
}

/** The database server, killed in the ways in which a machine or an operator would. */
export class DatabaseServer {
  private server: EmbeddedServer | undefined;

  constructor(private readonly folder: string) {}

  async start(): Promise<string> {
    await mkdir(this.folder, { recursive: true });
    this.server = await startEmbeddedServer(join(this.folder, "data"));
    return this.server.connectionString;
  }

  async stop(): Promise<void> {
    await this.server?.stop();
  }

  get running(): EmbeddedServer {
    if (!this.server) throw new Error("the database was not started");
    return this.server;
  }

  /** Where its files are. */
  get filesFolder(): string {
    return join(this.folder, "data", "database");
  }

  /** Only its first process; the others notice, and end without writing anything more. */
  async killPostmaster(): Promise<void> {
    await this.killed([await this.postmaster()]);
  }

  /** All its processes at once, as when the machine loses power, but for what the system has not yet written to disk. */
  async killAll(): Promise<void> {
    const postmaster = await this.postmaster();
    await this.killed([postmaster, ...childrenOf(postmaster)]);
  }

  /**
   * The process of one connection: the server then ends all of them and recovers by itself. Its own helpers are left
   * alone: when one of those is killed while the server recovers, PostgreSQL 18 was seen to wait for it for ever.
   */
  async killOneConnection(pick: (pids: readonly number[]) => number): Promise<void> {
    const connections = childrenOf(await this.postmaster(), /^postgres: packledger_service packledger /);
    if (connections.length > 0) killIfThere(pick(connections));
  }

  /** Kills, and gives the data folder free again, as the end of the whole service would. */
  private async killed(pids: readonly number[]): Promise<void> {
    for (const pid of pids) killIfThere(pid);
    await this.server?.stop();
  }

  private async postmaster(): Promise<number> {
    const file = join(this.filesFolder, "postmaster.pid");
    return Number((await readFile(file, "utf8")).split("\n")[0]);
  }
}

function killIfThere(pid: number): void {
  try {
    process.kill(pid, "SIGKILL");
  } catch (error) {
    // It has ended meanwhile.
    if ((error as NodeJS.ErrnoException).code !== "ESRCH") throw error;
  }
}

/** The worker that a service has beside itself; null where it has none. */
export function workerBeside(pid: number): number | null {
  return childrenOf(pid, /\bworker\.js\b/)[0] ?? null;
}

/** Numbers of the processes that a process has started, of those alone whose title fits. */
function childrenOf(pid: number, title = /^/): number[] {
  const table = execFileSync("ps", ["-e", "-o", "pid=,ppid=,args="], { encoding: "utf8" });
  return table.split("\n").flatMap((line) => {
    const [, child, parent, args = ""] = /^ *(\d+) +(\d+) (.*)$/.exec(line) ?? [];
    return Number(parent) === pid && title.test(args.trim()) ? [Number(child)] : [];
  });
}

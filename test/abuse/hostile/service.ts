import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { open, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { workerBeside } from "../../durability/processes.js";

const WELCOME = /answers at (http:\/\/\S+)/;
const PATIENCE_MS = 600_000;
/** As the image and the units of systemd run it, all threads with one arena of memory. */
const NODE_OPTIONS = ["--max-old-space-size=256", "--max-semi-space-size=4"];

/** The service, with its demo or empty, as a process of its own. The address 127.0.0.1 is that of a proxy which it trusts. */
export class ServiceUnderAttack {
  private process: ChildProcess | undefined;

  constructor(
    private readonly folder: string,
    private readonly hasDemo = true,
    /** A database to use in place of one under the folder. */
    private readonly databaseUrl = "",
  ) {}

  /** Resolves with its address when the demo is loaded. */
  async start(): Promise<string> {
    const logFile = join(this.folder, `service-${Date.now()}.log`);
    const log = await open(logFile, "a");
    const started = spawn(process.execPath, [...NODE_OPTIONS, "dist/src/main.js"], {
      env: {
        MALLOC_ARENA_MAX: "1",
        ...process.env,
        DATABASE_URL: this.databaseUrl,
        DATA_DIR: join(this.folder, "data"),
        DEMO: String(this.hasDemo),
        PORT: "0",
        TRUST_PROXY: "127.0.0.1",
      },
      stdio: ["ignore", log.fd, log.fd],
    });
    await log.close();
    this.process = started;
    for (let waitedMs = 0; waitedMs < PATIENCE_MS && started.exitCode === null; waitedMs += 50) {
      const [, url] = WELCOME.exec(await readFile(logFile, "utf8")) ?? [];
      if (url) return url;
      await delay(50);
    }
    throw new Error(`the service did not come up; see ${logFile}`);
  }

  get pid(): number {
    return this.process?.pid ?? Number.NaN;
  }

  /** The service, and the worker beside it if that runs; its database is not among them. */
  get processes(): number[] {
    const worker = workerBeside(this.pid);
    return worker === null ? [this.pid] : [this.pid, worker];
  }

  get hasEnded(): boolean {
    return this.process?.exitCode !== null || this.process.signalCode !== null;
  }

  /** Forgets how much memory its processes have held up to now (proc(5), clear_refs). */
  async forgetPeak(): Promise<void> {
    for (const pid of this.processes) await writeFile(`/proc/${pid}/clear_refs`, "5");
  }

  /** The most memory that one of its processes has held since then, MiB; null when the service has ended. */
  async peakMebibytes(): Promise<number | null> {
    return this.hasEnded ? null : Math.max(...(await this.peaksMebibytes()));
  }

  /** The same of each, the service's first, then its worker's (proc(5), VmHWM). */
  async peaksMebibytes(): Promise<number[]> {
    const statuses = this.processes.map((pid) => readFile(`/proc/${pid}/status`, "utf8"));
    return (await Promise.all(statuses)).map((status) => Number(/^VmHWM:\s+(\d+) kB$/m.exec(status)?.[1]) / 1024);
  }

  /** Ends it at once, as the system does when memory is short. */
  async kill(): Promise<void> {
    if (!this.process || this.hasEnded) return;
    const ended = once(this.process, "exit");
    this.process.kill("SIGKILL");
    await ended;
  }

  async stop(): Promise<void> {
    if (!this.process || this.hasEnded) return;
    const ended = once(this.process, "exit");
    this.process.kill("SIGTERM");
    await ended;
  }
}

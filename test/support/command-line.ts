import { execFile, fork } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { projectRoot } from "../../src/platform/config/project-root.js";

/** What a command of the shell has left. */
export interface Ended {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

const built = (name: string) => join(projectRoot, "dist", "src", name);

/** Runs the built command as `npx packledger` does. */
export function packledger(
  args: readonly string[],
  environment: Readonly<Record<string, string>> = {},
  folder = projectRoot,
  typed: string | null = null,
): Promise<Ended> {
  const env = { ...process.env, ...environment };
  return new Promise((resolve) => {
    const child = execFile(process.execPath, [built("cli.js"), ...args], { env, cwd: folder }, (_, stdout, stderr) =>
      resolve({ code: child.exitCode ?? -1, stdout, stderr }),
    );
    if (typed !== null) child.stdin?.end(typed);
  });
}

/**
 * Runs built commands, each the first time that its name is given as a program of its own, and from then on in one program for all: most
 * of what a command takes is that it loads what it stands on.
 */
export class Commands {
  private readonly begun = new Set<string>();
  private host: Host | undefined;
  private last: Promise<unknown> = Promise.resolve();

  async run(
    args: readonly string[],
    environment: Readonly<Record<string, string>> = {},
    folder = projectRoot,
  ): Promise<Ended> {
    const name = String(args[0]);
    if (!this.begun.has(name)) {
      this.begun.add(name);
      return packledger(args, environment, folder);
    }
    // One at a time: a program has one folder, and one set of variables.
    const running = this.last.then(() => {
      this.host ??= new Host();
      return this.host.run({ args, folder, variables: { ...process.env, ...environment } });
    });
    this.last = running.catch(() => undefined);
    return running;
  }

  async end(): Promise<void> {
    await this.host?.end();
  }
}

/** The program that runs them. */
class Host {
  private readonly process = fork(join(projectRoot, "test/support/command-host.js"), {
    stdio: ["pipe", "ignore", "inherit", "ipc"],
    execArgv: [],
  });
  private readonly ended = once(this.process, "exit");

  async run(command: object): Promise<Ended> {
    const left = once(this.process, "message");
    this.process.send({ commands: pathToFileURL(built("run-cli.js")).href, ...command });
    const [answer] = await Promise.race([left, this.ended.then(() => [null])]);
    if (answer === null) throw new Error("the program that runs commands has ended");
    return answer as Ended;
  }

  async end(): Promise<void> {
    if (this.process.connected) this.process.disconnect();
    await this.ended;
  }
}

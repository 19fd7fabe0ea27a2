import { execFileSync } from "node:child_process";
import { readFile, stat } from "node:fs/promises";
import { dirname } from "node:path";

/** The system account that the database server runs under. */
export interface ServerAccount {
  readonly uid: number;
  readonly gid: number;
}

/** How a program of the database server is started: some accounts need another program in front. */
export interface LaunchPlan {
  readonly command: string;
  readonly args: readonly string[];
  readonly account: ServerAccount | null;
}

/**
 * PostgreSQL refuses to run as root. Started by root it runs as `postgres` where that account exists, else as `nobody`;
 * started by anyone else it runs as that person (null).
 */
export async function serverAccount(): Promise<ServerAccount | null> {
  if (process.getuid?.() !== 0) return null;
  const lines = (await readFile("/etc/passwd", "utf8")).split("\n").map((line) => line.split(":"));
  const entry = lines.find(([name]) => name === "postgres") ?? lines.find(([name]) => name === "nobody");
  if (!entry)
    throw new Error("PostgreSQL cannot run as root and there is no account `postgres` or `nobody` to run as.");
  return { uid: Number(entry[2]), gid: Number(entry[3]) };
}

/** Whether an account may pass through every folder on the way to `path`. */
async function reaches(path: string, account: ServerAccount): Promise<boolean> {
  for (let folder = dirname(path); ; folder = dirname(folder)) {
    const { mode, uid, gid } = await stat(folder);
    const executeBit = uid === account.uid ? 0o100 : gid === account.gid ? 0o010 : 0o001;
    if ((mode & executeBit) === 0) return false;
    if (folder === dirname(folder)) return true;
  }
}

function hasSetpriv(): boolean {
  try {
    execFileSync("setpriv", ["--version"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}

/**
 * How to start `program` with its data in `dataFolder`. A clone in root's private home cannot be reached by another
 * account; there the server keeps one right of root, to pass through folders, by util-linux's setpriv.
 */
export async function planLaunch(
  program: string,
  dataFolder: string,
  args: readonly string[],
  account: ServerAccount | null,
): Promise<LaunchPlan> {
  if (!account || ((await reaches(program, account)) && (await reaches(dataFolder, account)))) {
    return { command: program, args, account };
  }
  if (!hasSetpriv()) {
    throw new Error(
      "PostgreSQL cannot run as root, and the account it would run as cannot reach this folder. " +
        "Move the project to a folder that others may enter, or run it as an ordinary user, or set DATABASE_URL.",
    );
  }
  const identity = [`--reuid=${account.uid}`, `--regid=${account.gid}`, "--clear-groups"];
  const rights = ["--inh-caps=+dac_override", "--ambient-caps=+dac_override"];
  return { command: "setpriv", args: [...identity, ...rights, "--", program, ...args], account: null };
}

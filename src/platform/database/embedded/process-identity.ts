import { readdir, readFile, readlink, realpath } from "node:fs/promises";

/**
 * What tells a live process from another one that later got the same number: its start time where the system shows
 * it, else only that it lives. Null when there is no such process.
 */
export async function processIdentity(pid: number): Promise<string | null> {
  try {
    process.kill(pid, 0);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "EPERM") return null;
  }
  if (process.platform !== "linux") return "alive";
  try {
    const status = await readFile(`/proc/${pid}/stat`, "utf8");
    const afterName = status.slice(status.lastIndexOf(")") + 2).split(" ");
    return afterName[0] === "Z" ? null : `started-${afterName[19]}`;
  } catch (error) {
    if (isGone(error)) return null;
    throw error;
  }
}

/** The command line of a live process where the system shows it; null elsewhere. */
export async function processCommandLine(pid: number): Promise<string | null> {
  if (process.platform !== "linux") return null;
  try {
    return (await readFile(`/proc/${pid}/cmdline`, "utf8")).replaceAll("\0", " ");
  } catch (error) {
    if (isGone(error)) return null;
    throw error;
  }
}

/** Numbers of the processes of a program that work in a folder, where the system shows it and this account may see it. */
export async function processesIn(folder: string, program: string): Promise<number[]> {
  if (process.platform !== "linux") return [];
  const real = await realpath(folder);
  const pids = (await readdir("/proc")).filter((name) => /^\d+$/.test(name)).map(Number);
  const matches = await Promise.all(pids.map((pid) => worksIn(pid, real, program)));
  return pids.filter((_, index) => matches[index]);
}

async function worksIn(pid: number, folder: string, program: string): Promise<boolean> {
  try {
    if ((await readFile(`/proc/${pid}/comm`, "utf8")).trim() !== program) return false;
    return (await readlink(`/proc/${pid}/cwd`)) === folder;
  } catch (error) {
    if (isGone(error) || (error as NodeJS.ErrnoException).code === "EACCES") return false;
    throw error;
  }
}

function isGone(error: unknown): boolean {
  const { code } = error as NodeJS.ErrnoException;
  return code === "ENOENT" || code === "ESRCH";
}

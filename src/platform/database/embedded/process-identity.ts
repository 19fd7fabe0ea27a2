import { readdir, readFile, readlink } from "node:fs/promises";

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

/** Numbers of the processes that work in a folder, where the system shows it and this account may see it. */
export async function processesIn(folder: string): Promise<number[]> {
  if (process.platform !== "linux") return [];
  const pids = (await readdir("/proc")).filter((name) => /^\d+$/.test(name)).map(Number);
  const folders = await Promise.all(pids.map((pid) => workingFolder(pid)));
  return pids.filter((_, index) => folders[index] === folder);
}

async function workingFolder(pid: number): Promise<string | null> {
  try {
    return await readlink(`/proc/${pid}/cwd`);
  } catch (error) {
    if (isGone(error) || (error as NodeJS.ErrnoException).code === "EACCES") return null;
    throw error;
  }
}

function isGone(error: unknown): boolean {
  const { code } = error as NodeJS.ErrnoException;
  return code === "ENOENT" || code === "ESRCH";
}

import { access, constants, readdir, readFile, stat } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { UsageError } from "../usage-error.js";

/** Files of a folder that are taken for logs; a file that is named is taken whatever its name. */
const LOG_NAME = /^[^.].*\.(csv|tsv|tab|txt|log|dat|asc)(\.gz)?$/i;
const RUN_FILE = "run.json";

/** The logs that were named, folders replaced by the logs in them, by name; folders within them are left out. */
export async function logFilesOf(paths: readonly string[]): Promise<string[]> {
  const found: string[] = [];
  for (const path of paths) {
    if (await isFolder(path)) found.push(...(await logsIn(path)));
    else found.push(path);
  }
  return [...new Set(found)];
}

const isRunFile = (name: string): boolean => name === RUN_FILE || name.endsWith(".run.json");

async function logsIn(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isFile() && LOG_NAME.test(entry.name)).map(({ name }) => name);
  const passedOver = entries
    .filter((entry) => !names.includes(entry.name) && !isRunFile(entry.name))
    .map(({ name }) => name);
  if (passedOver.length > 0) console.error(`Passed over in ${folder}: ${passedOver.sort().join(", ")}`);
  if (names.length === 0) throw new UsageError(`There is no log in ${folder}. Name the file itself if it is one.`);
  return names.sort().map((name) => join(folder, name));
}

/** What is declared of the run of a log: the file that was named, else NAME.run.json of NAME.csv, else run.json beside the log. */
export async function declaredRunOf(logFile: string, runFile: string | undefined): Promise<Record<string, unknown>> {
  const ask = `Write what is known of the run into ${RUN_FILE} beside ${basename(logFile)}, or name a file with --run.`;
  return declaredRunIn(await runFileOf(logFile, runFile), ` ${ask}`);
}

/** Where what is known of a log's run is to be found, whether it is there or not. */
export async function runFileOf(logFile: string, named: string | undefined): Promise<string> {
  if (named !== undefined) return named;
  const own = ownRunFile(logFile);
  return (await exists(own)) ? own : join(dirname(logFile), RUN_FILE);
}

/** NAME.run.json beside NAME.csv: what is known of that log alone. */
export function ownRunFile(logFile: string): string {
  const name = basename(logFile)
    .replace(/\.gz$/i, "")
    .replace(/\.[^.]+$/, "");
  return join(dirname(logFile), `${name}.run.json`);
}

async function exists(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}

/**
 * What a run file declares.
 *
 * @param ask what to do where there is no such file
 * @throws UsageError when there is none, or it is not one JSON object
 */
export async function declaredRunIn(path: string, ask = ""): Promise<Record<string, unknown>> {
  let text: string;
  try {
    text = await readFile(path, "utf8");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    throw new UsageError(`There is no file ${path}.${ask}`);
  }
  let run: unknown;
  try {
    run = JSON.parse(text);
  } catch (error) {
    throw new UsageError(`${path} is not JSON: ${(error as Error).message}`);
  }
  if (typeof run !== "object" || run === null || Array.isArray(run))
    throw new UsageError(`${path} must hold one object.`);
  return run as Record<string, unknown>;
}

/** Nothing at all is no folder: the file is then missed in its turn, and does not stop the others. */
async function isFolder(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isDirectory();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return false;
    throw error;
  }
}

/** @throws UsageError when there is no such file, or it may not be read */
export async function requireFile(path: string): Promise<void> {
  try {
    await access(path, constants.R_OK);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === "ENOENT") throw new UsageError(`There is no file ${path}.`);
    if (code === "EACCES") throw new UsageError(`You may not read ${path}.`);
    throw error;
  }
}

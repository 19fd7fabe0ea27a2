import { readFile, rename, writeFile } from "node:fs/promises";
import { homedir } from "node:os";
import { dirname, join } from "node:path";
import { makeFolder } from "../../platform/files/make-folder.js";
import { UsageError } from "../usage-error.js";

/** Tokens of sessions by the address of their server. */
type Sessions = Readonly<Record<string, string>>;

/** Where they are kept: under the folder of the XDG Base Directory Specification, readable by their owner alone. */
function sessionsFile(environment: NodeJS.ProcessEnv): string {
  return join(environment.XDG_CONFIG_HOME || join(homedir(), ".config"), "packledger", "sessions.json");
}

export async function keepToken(server: string, token: string, environment = process.env): Promise<string> {
  const file = sessionsFile(environment);
  const sessions = { ...(await readSessions(file)), [server]: token };
  await makeFolder(dirname(file), 0o700);
  const growing = `${file}.${process.pid}`;
  await writeFile(growing, `${JSON.stringify(sessions, null, 2)}\n`, { mode: 0o600 });
  await rename(growing, file);
  return file;
}

/** The token of the variable PACKLEDGER_TOKEN, else the one that `login` kept for this server. */
export async function tokenFor(server: string, environment = process.env): Promise<string> {
  const token = await storedTokenFor(server, environment);
  if (token) return token;
  throw new UsageError(`There is no session at ${server}. Open one with: packledger login --server ${server}`);
}

/** The same, or null where there is none: for what anyone may read. */
export async function storedTokenFor(server: string, environment = process.env): Promise<string | null> {
  return environment.PACKLEDGER_TOKEN || ((await readSessions(sessionsFile(environment)))[server] ?? null);
}

async function readSessions(file: string): Promise<Sessions> {
  try {
    return JSON.parse(await readFile(file, "utf8")) as Sessions;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return {};
    if (error instanceof SyntaxError) throw new UsageError(`${file} is damaged. Remove it and log in again.`);
    throw error;
  }
}

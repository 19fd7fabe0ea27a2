import { randomBytes } from "node:crypto";
import { mkdir, readFile, rename, writeFile } from "node:fs/promises";
import { join } from "node:path";

/** Name of the file that keeps them. */
export const DEMO_ACCOUNTS_FILE = "demo-accounts.json";

/** Passwords of the demo's accounts by handle. */
export type Passwords = Readonly<Record<string, string>>;

/**
 * Reads this installation's passwords, or makes them at random and keeps them in a file that only its owner can read.
 * They are on disk before any account is registered, so that an interrupted load can go on.
 */
export async function keepPasswords(folder: string, handles: readonly string[]): Promise<Passwords> {
  const path = join(folder, DEMO_ACCOUNTS_FILE);
  const kept = await readPasswords(path);
  const missing = handles.filter((handle) => kept[handle] === undefined);
  if (missing.length === 0) return kept;
  const made = Object.fromEntries(missing.map((handle) => [handle, randomBytes(24).toString("base64url")]));
  const passwords = { ...kept, ...made };
  await mkdir(folder, { recursive: true });
  await writeFile(`${path}.new`, `${JSON.stringify(passwords, null, 2)}\n`, { mode: 0o600 });
  await rename(`${path}.new`, path);
  return passwords;
}

async function readPasswords(path: string): Promise<Record<string, string>> {
  try {
    return JSON.parse(await readFile(path, "utf8")) as Record<string, string>;
  } catch (error) {
    if (typeof error === "object" && error !== null && "code" in error && error.code === "ENOENT") return {};
    throw error;
  }
}

import { execFile } from "node:child_process";
import { existsSync } from "node:fs";
import { chmod, chown, mkdir, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { makeFolder } from "../../files/make-folder.js";
import { OWNER_ROLE } from "./roles.js";
import { planLaunch, type ServerAccount } from "./server-account.js";

const run = promisify(execFile);

/** Environment of the server's programs: no locale of the machine reaches them. */
export function serverEnvironment(): NodeJS.ProcessEnv {
  const inherited = Object.entries(process.env).filter(([name]) => !/^(LC_|LANG|PG)/.test(name));
  return { ...Object.fromEntries(inherited), LC_ALL: "C" };
}

/**
 * Makes the database's files under `folder`, once. They grow beside their final place and move there complete, so that
 * an interrupted first start leaves nothing that a second one would trust.
 */
export async function initialise(
  initdb: string,
  folder: string,
  password: string,
  account: ServerAccount | null,
): Promise<string> {
  const databaseFolder = join(folder, "database");
  if (existsSync(databaseFolder)) return databaseFolder;
  const growing = join(folder, "database.new");
  const passwordFolder = join(folder, "password.new");
  for (const made of [growing, passwordFolder]) {
    await rm(made, { recursive: true, force: true });
    await mkdir(made, { mode: 0o700 });
  }
  const passwordFile = join(passwordFolder, "password");
  await writeFile(passwordFile, password, { mode: 0o600 });
  if (account) {
    for (const owned of [growing, passwordFolder, passwordFile]) await chown(owned, account.uid, account.gid);
  }
  const flags = [
    `--pgdata=${growing}`,
    `--username=${OWNER_ROLE}`,
    `--pwfile=${passwordFile}`,
    "--auth=scram-sha-256",
    "--encoding=UTF8",
    "--locale-provider=builtin",
    "--builtin-locale=C.UTF-8",
    "--locale=C",
    "--no-instructions",
  ];
  const plan = await planLaunch(initdb, growing, flags, account);
  try {
    await run(plan.command, [...plan.args], { ...(plan.account ?? {}), env: serverEnvironment(), cwd: folder });
  } finally {
    await rm(passwordFolder, { recursive: true, force: true });
  }
  await rename(growing, databaseFolder);
  return databaseFolder;
}

/** The folder that holds everything the service stores; others may pass through it but not list it. */
export async function makeDataFolder(folder: string): Promise<void> {
  if (existsSync(folder)) return;
  await makeFolder(folder);
  await chmod(folder, 0o711);
}

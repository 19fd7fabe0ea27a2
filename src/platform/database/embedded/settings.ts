import { randomBytes } from "node:crypto";
import { readFile, writeFile } from "node:fs/promises";
import { createServer } from "node:net";
import { join } from "node:path";

/** What one data folder's database server keeps between starts. */
export interface ServerSettings {
  readonly port: number;
  /** Of the role that the server was made with. */
  readonly password: string;
  /** Of the role that service and workers log in with. */
  readonly servicePassword: string;
}

/** As stored; folders of earlier versions have one role alone. */
export type StoredSettings = Omit<ServerSettings, "servicePassword"> & Partial<ServerSettings>;

const fileName = "database.json";

/** A port of the loopback interface that nothing listens on: `wanted` when it is free. */
function freePort(wanted: number): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once("error", (error: NodeJS.ErrnoException) => {
      if (wanted !== 0 && (error.code === "EADDRINUSE" || error.code === "EACCES")) resolve(freePort(0));
      else reject(error);
    });
    probe.listen(wanted, "127.0.0.1", () => {
      const address = probe.address();
      const port = typeof address === "object" && address ? address.port : 0;
      probe.close(() => resolve(port));
    });
  });
}

/** The settings that a folder has from before; null when no server was started on it yet. */
export async function storedSettings(folder: string): Promise<StoredSettings | null> {
  try {
    return JSON.parse(await readFile(join(folder, fileName), "utf8")) as StoredSettings;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}

const newPassword = () => randomBytes(24).toString("base64url");

/** The folder's port and passwords, made at the first start; another port is chosen when the kept one is taken. */
export async function settingsOf(folder: string): Promise<ServerSettings> {
  const known = await storedSettings(folder);
  const settings = {
    port: await freePort(known?.port ?? 0),
    password: known?.password ?? newPassword(),
    servicePassword: known?.servicePassword ?? newPassword(),
  };
  await writeFile(join(folder, fileName), JSON.stringify(settings), { mode: 0o600 });
  return settings;
}

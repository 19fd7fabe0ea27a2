import type { Config } from "../../config/config.js";
import { addressOfRunning, startEmbeddedServer } from "../embedded/embedded-server.js";

export interface OpenDatabase {
  readonly connectionString: string;
  stop(): Promise<void>;
}

/** The server that DATABASE_URL names, which others run, or else one of our own under the data folder. */
export async function openDatabase({ databaseUrl, dataFolder }: Config): Promise<OpenDatabase> {
  if (databaseUrl) return { connectionString: databaseUrl, stop: async () => {} };
  return startEmbeddedServer(dataFolder);
}

/** The database of a service that runs already, for operators' commands. */
export async function runningDatabase({ databaseUrl, dataFolder }: Config): Promise<string> {
  const address = databaseUrl ?? (await addressOfRunning(dataFolder));
  if (address) return address;
  throw new Error(`No service runs on the data folder ${dataFolder}. Start it first, or set DATA_DIR or DATABASE_URL.`);
}

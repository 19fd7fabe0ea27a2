import type { Config } from "../config/config.js";
import { type EmbeddedServer, startEmbeddedServer } from "./embedded/embedded-server.js";

/** The server that DATABASE_URL names, which others run, or else one of our own under the data folder. */
export async function openDatabase({ databaseUrl, dataFolder }: Config): Promise<EmbeddedServer> {
  if (databaseUrl) return { connectionString: databaseUrl, stop: async () => {} };
  return startEmbeddedServer(dataFolder);
}

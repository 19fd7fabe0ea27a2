import { Logger } from "@nestjs/common";
import { Client, type ClientConfig } from "pg";

/** After how long without a word the system begins to ask whether the other side is still there, ms. */
const KEEP_ALIVE_MS = 30_000;

/** One connection of its own. When it is lost, what is asked of it fails; the loss alone never ends the process. */
export function singleConnection(settings: ClientConfig): Client {
  const client = new Client({ keepAlive: true, keepAliveInitialDelayMillis: KEEP_ALIVE_MS, ...settings });
  const logger = new Logger("Database");
  client.on("error", (error) => logger.warn(`a connection was lost: ${error.message}`));
  return client;
}

import { Logger } from "@nestjs/common";
import { Client, type ClientConfig } from "pg";

/** One connection of its own. When it is lost, what is asked of it fails; the loss alone never ends the process. */
export function singleConnection(settings: ClientConfig): Client {
  const client = new Client(settings);
  const logger = new Logger("Database");
  client.on("error", (error) => logger.warn(`a connection was lost: ${error.message}`));
  return client;
}

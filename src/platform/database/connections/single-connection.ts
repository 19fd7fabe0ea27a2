import { Logger } from "@nestjs/common";
import { Client, type ClientConfig } from "pg";
import { IN_UTC } from "./utc.js";

/** After how long without a word the system begins to ask whether the other side is still there, ms. */
const KEEP_ALIVE_MS = 30_000;

type Connected = (error: Error | undefined) => void;

class ClientInUtc extends Client {
  override connect(): Promise<Client>;
  override connect(callback: Connected): void;
  override connect(callback?: Connected): Promise<Client> | undefined {
    const connected = super.connect().then(async () => {
      await this.query(IN_UTC);
      return this;
    });
    if (!callback) return connected;
    connected.then(() => callback(undefined), callback);
    return undefined;
  }
}

/** One connection of its own, whose times are UTC. When it is lost, what is asked of it fails; the loss alone never ends the process. */
export function singleConnection(settings: ClientConfig): Client {
  const client = new ClientInUtc({ keepAlive: true, keepAliveInitialDelayMillis: KEEP_ALIVE_MS, ...settings });
  const logger = new Logger("Database");
  client.on("error", (error) => logger.warn(`a connection was lost: ${error.message}`));
  return client;
}

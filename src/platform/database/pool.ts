import { Logger } from "@nestjs/common";
import { Pool } from "pg";

/** Connections to the record. One that is lost is noted and replaced at the next use; it never ends the process. */
export function makePool(connectionString: string, connections: number): Pool {
  const logger = new Logger("Database");
  const lost = (error: Error) => logger.warn(`a connection was lost: ${error.message}`);
  const pool = new Pool({ connectionString, max: connections });
  pool.on("error", lost);
  pool.on("connect", (client) => client.on("error", lost));
  return pool;
}

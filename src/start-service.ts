import type { Server } from "node:http";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { startApp } from "./create-app.js";
import type { Config } from "./platform/config/config.js";
import { openDatabase } from "./platform/database/open-database.js";
import { sweepLeftovers } from "./platform/process/sweep-leftovers.js";
import { prepareDatabase } from "./prepare-database.js";

export interface Service {
  readonly url: string;
  readonly app: NestFastifyApplication;
  stop(): Promise<void>;
}

/** Brings up the database, its tables, and the service on them; what fails on the way takes down what stood already. */
export async function startService(config: Config): Promise<Service> {
  await sweepLeftovers();
  const database = await openDatabase(config);
  try {
    await prepareDatabase(database.connectionString);
    const app = await startApp(config, database.connectionString);
    try {
      await app.listen({ port: config.port, host: config.host });
    } catch (error) {
      await app.close();
      throw isAddressTaken(error) ? addressTaken(config, error) : error;
    }
    return {
      url: await app.getUrl(),
      app,
      async stop() {
        await closeApp(app);
        await database.stop();
      },
    };
  } catch (error) {
    await database.stop();
    throw error;
  }
}

const isAddressTaken = (error: unknown) => (error as NodeJS.ErrnoException).code === "EADDRINUSE";

function addressTaken({ host, port }: Config, cause: unknown): Error {
  return new Error(`Another program listens on port ${port} of ${host}. Stop it, or set another PORT.`, { cause });
}

const LOOK_AGAIN_MS = 50;
const PATIENCE_MS = 5_000;

/** Lets requests in flight end, but no connection keep the service alive after its answer, nor any for longer than a while. */
export async function closeApp(app: NestFastifyApplication): Promise<void> {
  const server: Server = app.getHttpServer();
  const idle = setInterval(() => server.closeIdleConnections(), LOOK_AGAIN_MS);
  const all = setTimeout(() => server.closeAllConnections(), PATIENCE_MS);
  try {
    await app.close();
  } finally {
    clearInterval(idle);
    clearTimeout(all);
  }
}

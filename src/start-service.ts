import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { startApp } from "./create-app.js";
import type { Config } from "./platform/config/config.js";
import { openDatabase } from "./platform/database/open-database.js";
import { prepareDatabase } from "./prepare-database.js";

export interface Service {
  readonly url: string;
  readonly app: NestFastifyApplication;
  stop(): Promise<void>;
}

/** Brings up the database, its tables, and the service on them; what fails on the way takes down what stood already. */
export async function startService(config: Config): Promise<Service> {
  const database = await openDatabase(config);
  try {
    await prepareDatabase(database.connectionString);
    const app = await startApp(config, database.connectionString);
    try {
      await app.listen({ port: config.port, host: config.host });
    } catch (error) {
      await app.close();
      throw error;
    }
    return {
      url: await app.getUrl(),
      app,
      async stop() {
        await app.close();
        await database.stop();
      },
    };
  } catch (error) {
    await database.stop();
    throw error;
  }
}

import { migrate } from "../prisma/migrate.js";
import { createApp } from "./create-app.js";
import { ProtocolsService } from "./features/protocols/protocols.service.js";
import type { Config } from "./platform/config/config.js";
import { openDatabase } from "./platform/database/open-database.js";

export interface Service {
  readonly url: string;
  stop(): Promise<void>;
}

/** Brings up the database, its tables, and the service on them; what fails on the way takes down what stood already. */
export async function startService(config: Config): Promise<Service> {
  const database = await openDatabase(config);
  try {
    await migrate(database.connectionString);
    const app = await createApp(config, database.connectionString);
    await app.get(ProtocolsService).publish();
    await app.listen({ port: config.port, host: config.host });
    return {
      url: await app.getUrl(),
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

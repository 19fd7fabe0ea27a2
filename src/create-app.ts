import "reflect-metadata";
import type { INestApplicationContext, LogLevel } from "@nestjs/common";
import { NestFactory } from "@nestjs/core";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { AppModule } from "./app.module.js";
import { CopiesService } from "./features/copies/copies.service.js";
import { SimilarPacksService } from "./features/packs/similar-packs.service.js";
import { ProtocolsService } from "./features/protocols/protocols.service.js";
import { ReevaluationsService } from "./features/reevaluations/reevaluations.service.js";
import { ScoresService } from "./features/reviews/queue/scores.service.js";
import { LogRemovalsService } from "./features/runs/log/log-removals.service.js";
import { PackModelsService } from "./features/use/pack-models.service.js";
import { type Config, patienceOf } from "./platform/config/config.js";
import { withDatabase } from "./platform/database/opening/with-database.js";
import type { EarlyServer } from "./platform/http/listening/early-server.js";
import { makeServer } from "./platform/http/listening/server.js";
import { serveApiDescription } from "./platform/http/open-api/open-api.js";
import { RequestLimits } from "./platform/limits/request-limits.js";
import { Metrics } from "./platform/metrics/metrics.js";
import { JobQueue } from "./platform/queue/job-queue.js";
import { servePages } from "./web/serve-pages.js";

/** The service on a migrated database, ready to be asked but not yet listening. Touches the database only when asked. */
export async function createApp(
  config: Config,
  connectionString: string,
  early?: EarlyServer,
): Promise<NestFastifyApplication> {
  const requestLimits = new RequestLimits(config);
  const metrics = new Metrics();
  const app = await NestFactory.create<NestFastifyApplication>(
    AppModule.with(config, connectionString, requestLimits, metrics),
    makeServer(config, requestLimits, metrics, early),
    { bodyParser: false, logger: loggerOf(config), abortOnError: false },
  );
  serveApiDescription(app);
  await servePages(app.getHttpAdapter().getInstance());
  await app.init();
  await app.getHttpAdapter().getInstance().ready();
  return app;
}

/** What works the queue without being asked by anyone: no routes, no GraphQL, no pages. */
export function createContext(config: Config, connectionString: string): Promise<INestApplicationContext> {
  return NestFactory.createApplicationContext(
    AppModule.with(config, connectionString, new RequestLimits(config), new Metrics()),
    { logger: loggerOf(config), abortOnError: false },
  );
}

const loggerOf = ({ logLevel }: Config): false | LogLevel[] => (logLevel === "silent" ? false : ["error", "fatal"]);

/** The service with its protocols published, names of packs made comparable, what an older computation made (models too) and what is left to compare queued, as is the removal of refused logs, and, unless another process does that, its queue being worked. */
export async function startApp(
  config: Config,
  connectionString: string,
  early?: EarlyServer,
): Promise<NestFastifyApplication> {
  const app = await createApp(config, connectionString, early);
  await withDatabase(connectionString, patienceOf(config), async () => {
    await app.get(ProtocolsService).publish();
    await app.get(SimilarPacksService).updateKeys();
    await app.get(ReevaluationsService).startWhereOutdated();
    await app.get(CopiesService).queueMissing();
    await app.get(PackModelsService).queueOutdated();
    await app.get(LogRemovalsService).queueMissing();
    if (config.runsJobs) await workQueue(app);
  });
  return app;
}

/** Begins to work the queue in this process, and to queue the scoring of what changes. */
export async function workQueue(app: INestApplicationContext): Promise<void> {
  await app.get(ScoresService).watch();
  await app.get(JobQueue).start();
}

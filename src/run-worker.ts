import { createContext, workQueue } from "./create-app.js";
import { patienceOf, readConfig } from "./platform/config/config.js";
import { withDatabase } from "./platform/database/opening/with-database.js";
import { serveWorker } from "./platform/health/serve-worker.js";
import { METRICS_TO_ADD, Metrics } from "./platform/metrics/metrics.js";
import { answerParent } from "./platform/process/parent.js";
import { runUntilSignal } from "./platform/process/run-until-signal.js";
import { startTracing } from "./platform/tracing/start-tracing.js";
import { prepareDatabase } from "./prepare-database.js";

// Works the queue of a service on the same database: of one that runs elsewhere, or has started this program beside itself.
await runUntilSignal(async () => {
  const config = readConfig(process.env, process.argv.slice(2));
  if (!config.databaseUrl)
    throw new Error("A worker of its own needs DATABASE_URL; the embedded database is worked by its service.");
  const { databaseUrl } = config;
  const stopTracing = await startTracing(config.tracing);
  await withDatabase(databaseUrl, patienceOf(config), () => prepareDatabase(databaseUrl));
  const app = await createContext(config, databaseUrl);
  await withDatabase(databaseUrl, patienceOf(config), () => workQueue(app));
  const server = config.workerPort ? await serveWorker(app, config.workerPort, config) : null;
  const metrics = app.get(Metrics);
  answerParent({ [METRICS_TO_ADD]: () => metrics.added() });
  if (!process.connected) console.log("Packledger's worker is waiting for jobs.");
  return {
    async stop() {
      await app.close();
      await server?.close();
      await stopTracing();
    },
  };
});

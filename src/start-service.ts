import type { Server } from "node:http";
import { join } from "node:path";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { startApp } from "./create-app.js";
import { type Config, patienceOf } from "./platform/config/config.js";
import { openDatabase } from "./platform/database/opening/open-database.js";
import { withDatabase } from "./platform/database/opening/with-database.js";
import { Readiness, type WaitedFor } from "./platform/health/readiness.js";
import { EarlyServer } from "./platform/http/listening/early-server.js";
import { METRICS_TO_ADD, Metrics } from "./platform/metrics/metrics.js";
import { ChildProgram } from "./platform/process/child-program.js";
import { sweepLeftovers } from "./platform/process/sweep-leftovers.js";
import { prepareDatabase } from "./prepare-database.js";

export interface Service {
  readonly url: string;
  readonly app: NestFastifyApplication;
  stop(): Promise<void>;
}

/**
 * Brings up the database, its tables, and the service on them; what fails on the way takes down what stood already. It listens from
 * the first moment on, and says what it waits for.
 *
 * @param waitingFor what is still to be done, when it has started, until it is ready
 */
export async function startService(config: Config, waitingFor: readonly WaitedFor[] = []): Promise<Service> {
  const early = await listen(config);
  try {
    return await startBehind(early, config, waitingFor);
  } catch (error) {
    await early.close();
    throw error;
  }
}

async function listen(config: Config): Promise<EarlyServer> {
  try {
    return await EarlyServer.listen(config);
  } catch (error) {
    throw notListening(config, error);
  }
}

async function startBehind(early: EarlyServer, config: Config, waitingFor: readonly WaitedFor[]): Promise<Service> {
  await sweepLeftovers();
  const database = await openDatabase(config);
  try {
    const { connectionString } = database;
    await withDatabase(connectionString, patienceOf(config), () => {
      early.waitFor("migrations");
      return prepareDatabase(connectionString);
    });
    const worker = config.runsJobs ? startWorker(connectionString) : null;
    try {
      const app = await startAnswering(early, config, connectionString, waitingFor);
      app.get(Metrics).worker = worker && (() => worker.ask(METRICS_TO_ADD));
      return {
        url: await app.getUrl(),
        app,
        async stop() {
          await Promise.all([closeApp(app), worker?.stop()]);
          await database.stop();
        },
      };
    } catch (error) {
      await worker?.stop();
      throw error;
    }
  } catch (error) {
    await database.stop();
    throw error;
  }
}

/**
 * A heap is collected whole when it has doubled since the last time, and not, as under a small limit, when it has grown by a third: some
 * tenth of an evaluation's processor time, for some 60 MiB (docs/performance.md).
 */
const WORKER_OPTIONS = ["--heap-growing-percent=100"];

/** A worker of this service's own, beside it: evaluations and what follows from them give way to answers, and end nothing when they fail. */
function startWorker(connectionString: string): ChildProgram {
  const { DATABASE_PASSWORD: _, WORKER_PORT: __, ...environment } = process.env;
  const settings = { ...environment, DATABASE_URL: connectionString };
  return new ChildProgram(join(import.meta.dirname, "worker.js"), "worker", settings, WORKER_OPTIONS);
}

async function startAnswering(
  early: EarlyServer,
  config: Config,
  connectionString: string,
  waitingFor: readonly WaitedFor[],
): Promise<NestFastifyApplication> {
  // The worker beside it works the queue.
  const app = await startApp({ ...config, runsJobs: false }, connectionString, early);
  for (const what of waitingFor) app.get(Readiness).waitFor(what);
  try {
    // The server listens already: this lets the service answer.
    await app.listen({ port: config.port, host: "127.0.0.1" });
    return app;
  } catch (error) {
    await app.close();
    throw error;
  }
}

/** What is in the way of listening, by the system's code, and the variable that mends it. */
function notListening({ host, port }: Config, cause: unknown): unknown {
  switch ((cause as NodeJS.ErrnoException).code) {
    case "EADDRINUSE":
      return new Error(`Another program listens on port ${port} of ${host}. Stop it, or set another PORT.`, { cause });
    case "EACCES":
      return new Error(`This account may not listen on port ${port}. Set another PORT.`, { cause });
    case "ENOTFOUND":
    case "EAI_AGAIN":
    case "EADDRNOTAVAIL":
      return new Error(`HOST is ${host}, which is no address of this machine. Set HOST to one, such as 127.0.0.1.`, {
        cause,
      });
    default:
      return cause;
  }
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

import type { INestApplicationContext } from "@nestjs/common";
import Fastify, { type FastifyInstance } from "fastify";
import type { Config } from "../config/config.js";
import { Metrics } from "../metrics/metrics.js";
import { serveMetrics } from "../metrics/serve-metrics.js";
import { answerProblem } from "../problems/answer.js";
import { HealthController } from "./health.controller.js";

/** Lets a worker of its own, which serves no API, tell at `port` whether it is well, and its metrics. */
export async function serveWorker(
  app: INestApplicationContext,
  port: number,
  { host, metricsToken }: Pick<Config, "host" | "metricsToken">,
): Promise<FastifyInstance> {
  const health = app.get(HealthController);
  const server = Fastify();
  server.setErrorHandler(answerProblem);
  server.get("/health/live", () => health.live());
  server.get("/health/ready", () => health.ready());
  serveMetrics(server, app.get(Metrics), metricsToken);
  await server.listen({ host, port });
  return server;
}

import { randomUUID } from "node:crypto";
import type { RequestListener, Server } from "node:http";
import type { Config } from "../../config/config.js";
import type { WaitedFor } from "../../health/readiness.js";
import { Problem } from "../../problems/problem.js";
import { makeLimitedServer } from "./connections.js";
import { addressesOf, listenOn } from "./listen-on.js";

/** A start takes a second or two. */
const RETRY_AFTER_SECONDS = "1";

/** Listens before the service can: says that the process lives, and what it waits for, until the service takes over. */
export class EarlyServer {
  private serve: RequestListener = (request, response) => this.answer(request, response);
  private waitingFor: WaitedFor = "database";

  private readonly server: Server;

  private constructor(config: Config) {
    this.server = makeLimitedServer(config, (request, response) => this.serve(request, response));
  }

  /** @throws what listening fails with, such as a port that is taken */
  static async listen(config: Config): Promise<EarlyServer> {
    const early = new EarlyServer(config);
    await listenOn(early.server, await addressesOf(config.host), config.port);
    return early;
  }

  waitFor(what: WaitedFor): void {
    this.waitingFor = what;
  }

  /** Makes the web framework use this server: being told to listen, it takes the requests over. */
  takenBy(handler: RequestListener): Server {
    this.server.listen = () => {
      this.serve = handler;
      setImmediate(() => this.server.emit("listening"));
      return this.server;
    };
    return this.server;
  }

  async close(): Promise<void> {
    this.server.closeAllConnections();
    await new Promise((closed) => this.server.close(closed));
  }

  private answer(...[request, response]: Parameters<RequestListener>): void {
    request.resume();
    const fields = { "content-type": "application/json; charset=utf-8", "cache-control": "no-store" };
    if (request.url?.split("?", 1)[0] === "/health/live") {
      response.writeHead(200, fields).end('{"status":"live"}');
      return;
    }
    const problem = new Problem("not-ready", `The service starts and waits for: ${this.waitingFor}.`, {
      extensions: { waitingFor: [this.waitingFor] },
    });
    const headers = {
      ...fields,
      "content-type": "application/problem+json; charset=utf-8",
      "retry-after": RETRY_AFTER_SECONDS,
    };
    response.writeHead(problem.status, headers).end(JSON.stringify(problem.toBody(randomUUID())));
  }
}

import type { FastifyInstance } from "fastify";
import type { Config } from "../config/config.js";
import { isPassedOn } from "./client.js";
import { isLoopback } from "./ip-address.js";

/** Says once that a proxy on this machine passes requests on and is not trusted: all its clients are counted as one. */
export function warnOfUnknownProxies(server: FastifyInstance, { trustedProxies }: Config): void {
  if (trustedProxies !== 0) return;
  let isSaid = false;
  server.addHook("onRequest", async (request) => {
    if (isSaid || !isPassedOn(request) || !isLoopback(request.socket.remoteAddress ?? "")) return;
    isSaid = true;
    request.log.warn("a proxy passes requests on and TRUST_PROXY is not set: all its clients share one limit");
  });
}

import { createParamDecorator, type ExecutionContext } from "@nestjs/common";
import type { FastifyRequest } from "fastify";
import { requestOf } from "../auth/request-of.js";
import { isLoopback, networkOf, readIpAddress } from "./ip-address.js";

/** Where a request comes from. */
export interface Client {
  /** What it is counted under: an IPv4 address, or the /64 of an IPv6 address. */
  readonly network: string;
  /** Whether a program of this machine sent it, and passed nothing on for another. */
  readonly isThisMachine: boolean;
}

/** Header fields by which proxies say that they pass a request on (RFC 7239, RFC 9110, 7.6.3; the others are common practice, no published source). */
const PASSED_ON =
  /^(forwarded|via|x-forwarded|x-forwarded-.+|x-original-forwarded-for|x-real-ip|x-(cluster-)?client-ip|true-client-ip)$/;

const clients = new WeakMap<FastifyRequest, Client>();

/**
 * Where a request comes from: the farthest address that a trusted proxy vouches for, else the connection's own. What stands in
 * place of an address and is none leaves the proxy that wrote it. No address of a header is this machine's, whatever
 * it says.
 */
export function clientOf(request: FastifyRequest): Client {
  let client = clients.get(request);
  if (!client) {
    const peer = readIpAddress(request.socket.remoteAddress ?? "");
    const chain = request.ips ?? [];
    const named = [...chain].reverse().map(readIpAddress);
    const address = named.find((one) => one !== null) ?? peer;
    client = {
      network: address === null ? "unknown" : networkOf(address),
      isThisMachine: peer !== null && isLoopback(peer) && !isPassedOn(request),
    };
    clients.set(request, client);
  }
  return client;
}

/** Whether a header field says that the request is another's. */
export function isPassedOn({ headers }: FastifyRequest): boolean {
  return Object.keys(headers).some((name) => PASSED_ON.test(name));
}

/** Where a request to a handler of either API comes from. */
export const FromClient = createParamDecorator(
  (_: unknown, context: ExecutionContext): Client => clientOf(requestOf(context)),
);

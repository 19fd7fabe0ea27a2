import { createHash } from "node:crypto";
import type { Socket } from "node:net";
import type { FastifyReply, FastifyRequest } from "fastify";
import { LRUCache } from "lru-cache";
import type { Caller } from "../auth/account.js";
import { clientOf } from "../client/client.js";
import { isLoopback, networkOf, readIpAddress } from "../client/ip-address.js";
import { proxyTest } from "../client/trusted-proxies.js";
import type { Config } from "../config/config.js";
import type { Problem } from "../problems/problem.js";
import { BoundedLimiter } from "./bounded-limiter.js";
import { tooMany } from "./consume.js";
import { rateLimitFields } from "./fields.js";
import { lazily } from "./lazily.js";

const MINUTE_SECONDS = 60;
/** How long, and of how many, it is remembered whose credential it is. */
const KNOWN_MS = 10 * 60_000;
const MAX_KNOWN = 10_000;

/** What a request was counted under. */
interface Count {
  readonly limiter: BoundedLimiter;
  readonly key: string;
}

/**
 * How often anyone may ask, counted by each process for itself. Every request is counted before anything is done for it: under
 * the account or key whose credential it carries, when that was good before; else under its address, those with a credential
 * apart from those without, so that strangers at an address take nothing from its testers. What is counted under an
 * address is taken back, and counted under the account or key, once it is known whose it is. A program of this machine
 * is not limited. Neither is a preflight: a browser sends one ahead of a page's request, for every URL anew, without the page's credential and
 * where the page cannot see that it is refused (Fetch Standard, CORS-preflight fetch). What follows it is counted.
 */
export class RequestLimits {
  private readonly perAddress: BoundedLimiter;
  private readonly perAddressWithCredential: BoundedLimiter;
  private readonly perAccount: BoundedLimiter;
  private readonly perKey: BoundedLimiter;
  private readonly known = lazily(() => new LRUCache<string, Count>({ max: MAX_KNOWN, ttl: KNOWN_MS }));
  private readonly counts = new WeakMap<FastifyRequest, Count>();
  private readonly refusals = new WeakMap<FastifyRequest, Problem>();

  private readonly isProxy: (address: string, hop: number) => boolean;

  constructor(config: Config) {
    this.isProxy = proxyTest(config.trustedProxies) || (() => false);
    this.perAddress = new BoundedLimiter("address", config.addressRequestsPerMinute, MINUTE_SECONDS);
    this.perAddressWithCredential = new BoundedLimiter("credential", config.addressRequestsPerMinute, MINUTE_SECONDS);
    this.perAccount = new BoundedLimiter("account", config.accountRequestsPerMinute, MINUTE_SECONDS);
    this.perKey = new BoundedLimiter("key", config.keyRequestsPerMinute, MINUTE_SECONDS);
  }

  /** Counts a request of whomever, and remembers whether it was one too many. */
  async count(request: FastifyRequest, reply?: FastifyReply): Promise<void> {
    const { isThisMachine, network } = clientOf(request);
    if (isThisMachine || isPreflight(request)) return;
    const { authorization } = request.headers;
    const limiter = authorization === undefined ? this.perAddress : this.perAddressWithCredential;
    const known = authorization === undefined ? undefined : this.known().get(digestOf(authorization));
    await this.countUnder(known ?? { limiter, key: network }, request, reply);
  }

  /** @throws Problem `too-many-requests` when the request was one too many */
  refuseTooMany(request: FastifyRequest): void {
    const refusal = this.refusals.get(request);
    if (refusal) throw refusal;
  }

  /** Counts what came over a connection and is no HTTP under its address. @returns whether it was one too many */
  async isTooMuch(socket: Socket): Promise<boolean> {
    const address = readIpAddress(socket.remoteAddress ?? "");
    if (address === null || isLoopback(address) || this.isProxy(address, 0)) return false;
    return (await this.perAddress.count(networkOf(address))).consumedPoints > this.perAddress.points;
  }

  /** Counts a request again, under the account or key that sent it. @throws Problem `too-many-requests` */
  async attribute(request: FastifyRequest, reply: FastifyReply | undefined, caller: Caller): Promise<void> {
    const before = this.counts.get(request);
    if (!before) return;
    const [limiter, key] = caller.scopes ? [this.perKey, caller.credentialId] : [this.perAccount, caller.id];
    const { authorization } = request.headers;
    if (authorization !== undefined) this.known().set(digestOf(authorization), { limiter, key });
    if (before.limiter === limiter && before.key === key) return;
    await before.limiter.takeBack(before.key);
    await this.countUnder({ limiter, key }, request, reply);
    this.refuseTooMany(request);
  }

  /** Counts a request whose credential is good no more under its address. */
  async disown(request: FastifyRequest): Promise<void> {
    const before = this.counts.get(request);
    const { authorization } = request.headers;
    if (!before || authorization === undefined || !this.known().delete(digestOf(authorization))) return;
    await before.limiter.takeBack(before.key);
    await this.countUnder({ limiter: this.perAddressWithCredential, key: clientOf(request).network }, request);
  }

  private async countUnder({ limiter, key }: Count, request: FastifyRequest, reply?: FastifyReply): Promise<void> {
    this.counts.set(request, { limiter, key });
    const state = await limiter.count(key);
    reply?.headers(rateLimitFields(limiter.name, limiter.points, limiter.windowSeconds, state));
    if (state.consumedPoints > limiter.points) this.refusals.set(request, tooMany(state, "Ask less often."));
  }
}

function digestOf(authorization: string): string {
  return createHash("sha256").update(authorization).digest("base64");
}

/** Whether a browser asks on its own whether a page may ask (Fetch Standard, CORS-preflight request). */
function isPreflight({ method, headers }: FastifyRequest): boolean {
  return method === "OPTIONS" && headers.origin !== undefined && headers["access-control-request-method"] !== undefined;
}

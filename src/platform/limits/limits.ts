import { setTimeout as sleep } from "node:timers/promises";
import { Inject, Injectable } from "@nestjs/common";
import type { FastifyReply, FastifyRequest } from "fastify";
import {
  type RateLimiterAbstract,
  RateLimiterMemory,
  RateLimiterPostgres,
  RateLimiterRes,
} from "rate-limiter-flexible";
import type { Caller } from "../auth/account.js";
import { CONFIG, type Config } from "../config/config.js";
import { Database } from "../database/database.js";
import { Problem } from "../problems/problem.js";
import { rateLimitFields } from "./fields.js";
import { isLoopback } from "./loopback.js";

const MINUTE_SECONDS = 60;
const FAILURE_WINDOW_SECONDS = 15 * 60;
const HOUR_SECONDS = 3_600;
/** Failures at one handle from anywhere, within an hour, after which each further try at it waits. */
const FAILURES_UNTIL_SLOW = 30;
const SLOW_MS = 2_000;
const REGISTRATIONS_PER_HOUR = 20;

/**
 * How often anyone may ask. Requests are counted by each process for itself; failed logins and registrations in the
 * database, so that several processes count together.
 */
@Injectable()
export class Limits {
  private readonly perAddress: RateLimiterMemory;
  private readonly perAccount: RateLimiterMemory;
  private readonly perKey: RateLimiterMemory;
  private readonly failuresOfPair: RateLimiterPostgres;
  private readonly failuresOfHandle: RateLimiterPostgres;
  private readonly registrations: RateLimiterPostgres;

  constructor(database: Database, @Inject(CONFIG) config: Config) {
    const perMinute = (points: number) => new RateLimiterMemory({ points, duration: MINUTE_SECONDS });
    this.perAddress = perMinute(config.addressRequestsPerMinute);
    this.perAccount = perMinute(config.accountRequestsPerMinute);
    this.perKey = perMinute(config.keyRequestsPerMinute);
    const shared = (keyPrefix: string, points: number, duration: number) => {
      const table = { storeClient: database.pool, tableName: "limit_state", tableCreated: true };
      return new RateLimiterPostgres({ ...table, keyPrefix, points, duration });
    };
    this.failuresOfPair = shared("pair", config.loginFailures, FAILURE_WINDOW_SECONDS);
    this.failuresOfHandle = shared("handle", FAILURES_UNTIL_SLOW, HOUR_SECONDS);
    this.registrations = shared("register", REGISTRATIONS_PER_HOUR, HOUR_SECONDS);
  }

  /** Counts a request, of the key or account if there is one, else of the address. This machine itself is not limited. */
  async countRequest(request: FastifyRequest, reply: FastifyReply | undefined, caller: Caller | null): Promise<void> {
    if (isLoopback(request.ip)) return;
    const [name, limiter, key] = this.limiterOf(request, caller);
    const state = await consume(limiter, key);
    reply?.headers(rateLimitFields(name, limiter.points, MINUTE_SECONDS, state));
    if (state.consumedPoints > limiter.points) throw tooMany(state, "Ask less often.");
  }

  private limiterOf(request: FastifyRequest, caller: Caller | null): [string, RateLimiterMemory, string] {
    if (!caller) return ["address", this.perAddress, request.ip];
    return caller.scopes ? ["key", this.perKey, caller.credentialId] : ["account", this.perAccount, caller.id];
  }

  /**
   * Called before a password is looked at. Failures count against the pair of handle and address: who fails locks out
   * nobody who comes from elsewhere. Guessing from many addresses is slowed down, never locked.
   *
   * @throws Problem `too-many-requests`
   */
  async beforeLogin(handle: string, address: string): Promise<void> {
    const pair = await this.failuresOfPair.get(pairOf(handle, address));
    if (pair && pair.consumedPoints >= this.failuresOfPair.points) {
      throw tooMany(pair, "The handle or the password was wrong too often from this address.");
    }
    await sleep(await this.delayOf(handle));
  }

  /** How long each try at a handle waits, ms. */
  async delayOf(handle: string): Promise<number> {
    const failures = await this.failuresOfHandle.get(handle.toLowerCase());
    return failures && failures.consumedPoints >= FAILURES_UNTIL_SLOW ? SLOW_MS : 0;
  }

  async afterFailedLogin(handle: string, address: string): Promise<void> {
    await consume(this.failuresOfPair, pairOf(handle, address));
    await consume(this.failuresOfHandle, handle.toLowerCase());
  }

  async afterLogin(handle: string, address: string): Promise<void> {
    await this.failuresOfPair.delete(pairOf(handle, address));
  }

  /** @throws Problem `too-many-requests` */
  async countRegistration(address: string): Promise<void> {
    if (isLoopback(address)) return;
    const state = await consume(this.registrations, address);
    if (state.consumedPoints > REGISTRATIONS_PER_HOUR)
      throw tooMany(state, "Too many accounts came from this address.");
  }
}

/** Handles hold no blank, so that the pair can be read in one way only. */
function pairOf(handle: string, address: string): string {
  return `${handle.toLowerCase()} ${address}`;
}

/** The limiter tells that a limit is passed by throwing its state. */
async function consume(limiter: RateLimiterAbstract, key: string): Promise<RateLimiterRes> {
  try {
    return await limiter.consume(key);
  } catch (error) {
    if (error instanceof RateLimiterRes) return error;
    throw error;
  }
}

function tooMany({ msBeforeNext }: RateLimiterRes, detail: string): Problem {
  const retryAfterSeconds = Math.max(1, Math.ceil(msBeforeNext / 1000));
  return new Problem("too-many-requests", `${detail} Try again in ${retryAfterSeconds} s.`, {
    extensions: { retryAfterSeconds },
  });
}

import { createHash } from "node:crypto";
import { setTimeout as sleep } from "node:timers/promises";
import { Inject, Injectable } from "@nestjs/common";
import { LRUCache } from "lru-cache";
import { RateLimiterPostgres, type RateLimiterRes } from "rate-limiter-flexible";
import type { Caller } from "../auth/account.js";
import type { Client } from "../client/client.js";
import { CONFIG, type Config } from "../config/config.js";
import { Database } from "../database/database.js";
import { Problem } from "../problems/problem.js";
import { consume, tooMany } from "./consume.js";
import { lazily } from "./lazily.js";

const WINDOW_SECONDS = 15 * 60;
const HOUR_SECONDS = 3_600;
/** How many handles' worth of failures an address has. */
const HANDLES_PER_ADDRESS = 5;
const CODES_PER_WINDOW = 20;
const REGISTRATIONS_PER_HOUR = 20;
/** Failures at one handle from anywhere, within an hour, after which each further try at it waits and few are let in. */
const FAILURES_UNTIL_SLOW = 30;
const SLOW_MS = 2_000;
const SLOW_TRIES_PER_MINUTE = 20;
/** How long, and of how many pairs of handle and address, it is remembered that a login succeeded. */
const FAMILIAR_MS = 30 * 24 * HOUR_SECONDS * 1_000;
const MAX_FAMILIAR = 20_000;

/** A limit and its key. */
interface Reservation {
  readonly limiter: RateLimiterPostgres;
  readonly key: string;
  /** What there is too much of when the limit is passed; null where that refuses nothing by itself. */
  readonly refusal: string | null;
  /** Whether a success takes back all failures before it, and not only its own try. */
  readonly isForgiving?: boolean;
}

/**
 * How often anyone may guess, counted in the database, so that several processes count together. A try is counted before
 * anything is verified, so that tries at the same time are no more than tries one after the other; when it succeeds it is
 * taken back.
 */
@Injectable()
export class GuessLimits {
  private readonly perPair: RateLimiterPostgres;
  private readonly perAddress: RateLimiterPostgres;
  private readonly perHandle: RateLimiterPostgres;
  private readonly slowTries: RateLimiterPostgres;
  private readonly confirmations: RateLimiterPostgres;
  private readonly codes: RateLimiterPostgres;
  private readonly registrations: RateLimiterPostgres;
  private readonly familiar = lazily(() => new LRUCache<string, true>({ max: MAX_FAMILIAR, ttl: FAMILIAR_MS }));

  constructor(database: Database, @Inject(CONFIG) { loginFailures }: Config) {
    const shared = (keyPrefix: string, points: number, duration: number) => {
      const table = { storeClient: database.pool, storeType: "pool", tableName: "limit_state", tableCreated: true };
      // Each would have a timer of its own that never ends.
      const clearing = { clearExpiredByTimeout: false };
      return new RateLimiterPostgres({ ...table, ...clearing, keyPrefix, points, duration });
    };
    this.perPair = shared("pair", loginFailures, WINDOW_SECONDS);
    this.perAddress = shared("address", HANDLES_PER_ADDRESS * loginFailures, WINDOW_SECONDS);
    this.perHandle = shared("handle", FAILURES_UNTIL_SLOW, HOUR_SECONDS);
    this.slowTries = shared("slow", SLOW_TRIES_PER_MINUTE, 60);
    this.confirmations = shared("confirm", loginFailures, WINDOW_SECONDS);
    this.codes = shared("code", CODES_PER_WINDOW, WINDOW_SECONDS);
    this.registrations = shared("register", REGISTRATIONS_PER_HOUR, HOUR_SECONDS);
  }

  /**
   * Verifies a password at a handle. Who fails locks out nobody who comes from elsewhere. A handle that many addresses guess
   * at is slowed down for all but the addresses from which its password was right before; it is never locked.
   *
   * @param verify throws a problem of status 401 when the guess is wrong
   * @throws Problem `too-many-requests`, and what `verify` throws
   */
  async login<T>(handle: string, { network }: Client, verify: () => Promise<T>): Promise<T> {
    // What is counted outlives an account that is erased, and must not name its person.
    const name = createHash("sha256").update(handle.toLowerCase()).digest("base64url");
    const pair = `${name} ${network}`;
    const isFamiliar = this.familiar().has(pair);
    const refusal = "The handle or the password was wrong too often from this address.";
    const ofAddress = { limiter: this.perAddress, key: network, refusal };
    const ofPair = { limiter: this.perPair, key: pair, refusal, isForgiving: true };
    const ofHandle = { limiter: this.perHandle, key: name, refusal: null };
    const reservations: [Reservation, ...Reservation[]] = isFamiliar
      ? [ofPair, ofHandle]
      : [ofAddress, ofPair, ofHandle];
    return this.guess(reservations, async ({ consumedPoints }) => {
      if (!isFamiliar && consumedPoints > FAILURES_UNTIL_SLOW) {
        await reserve({ limiter: this.slowTries, key: name, refusal: "Many are guessing at this handle." });
        await sleep(SLOW_MS);
      }
      const verified = await verify();
      this.familiar().set(pair, true);
      return verified;
    });
  }

  /**
   * Verifies who has a session already. Counted for the session, so that whoever stole one keeps nobody else from
   * changing the password.
   */
  confirm<T>({ credentialId }: Caller, verify: () => Promise<T>): Promise<T> {
    const refusal = "What confirms who you are was wrong too often in this session.";
    return this.guess([{ limiter: this.confirmations, key: credentialId, refusal }], verify);
  }

  /** Verifies a secret that somebody without a session was given for one use. */
  redeem<T>({ network }: Client, verify: () => Promise<T>): Promise<T> {
    const refusal = "Codes were wrong too often from this address.";
    return this.guess([{ limiter: this.codes, key: network, refusal }], verify);
  }

  /** @throws Problem `too-many-requests` */
  async countRegistration({ network, isThisMachine }: Client): Promise<void> {
    if (isThisMachine) return;
    await reserve({ limiter: this.registrations, key: network, refusal: "Too many accounts came from this address." });
  }

  /** @param verify is given the state of the last reservation */
  private async guess<T>(
    reservations: readonly [Reservation, ...Reservation[]],
    verify: (last: RateLimiterRes) => Promise<T>,
  ): Promise<T> {
    const reserved: Reservation[] = [];
    let outcome: "right" | "wrong" | "unverified" = "unverified";
    try {
      let last = await reserve(reservations[0]);
      reserved.push(reservations[0]);
      for (const reservation of reservations.slice(1)) {
        last = await reserve(reservation);
        reserved.push(reservation);
      }
      const verified = await verify(last);
      outcome = "right";
      return verified;
    } catch (error) {
      if (error instanceof Problem && error.status === 401) outcome = "wrong";
      throw error;
    } finally {
      if (outcome !== "wrong") for (const reservation of reserved) await takeBack(reservation, outcome);
    }
  }
}

async function reserve({ limiter, key, refusal }: Reservation): Promise<RateLimiterRes> {
  const state = await consume(limiter, key);
  if (refusal !== null && state.consumedPoints > limiter.points) throw tooMany(state, refusal);
  return state;
}

async function takeBack({ limiter, key, isForgiving }: Reservation, outcome: "right" | "unverified"): Promise<void> {
  if (isForgiving && outcome === "right") await limiter.delete(key);
  else await limiter.reward(key);
}

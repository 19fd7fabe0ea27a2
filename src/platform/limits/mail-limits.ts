import { createHash } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { RateLimiterPostgres } from "rate-limiter-flexible";
import type { Caller } from "../auth/account.js";
import { Database } from "../database/database.js";
import { consume, tooMany } from "./consume.js";

const DAY_SECONDS = 86_400;
const PER_ACCOUNT = 5;
const PER_ADDRESS = 3;

/** How often anyone may have a mail sent to an address that nobody has confirmed, counted in the database. */
@Injectable()
export class MailLimits {
  private readonly perAccount: RateLimiterPostgres;
  private readonly perAddress: RateLimiterPostgres;

  constructor(database: Database) {
    const shared = (keyPrefix: string, points: number) => {
      const table = { storeClient: database.pool, storeType: "pool", tableName: "limit_state", tableCreated: true };
      // Each would have a timer of its own that never ends.
      const clearing = { clearExpiredByTimeout: false };
      return new RateLimiterPostgres({ ...table, ...clearing, keyPrefix, points, duration: DAY_SECONDS });
    };
    this.perAccount = shared("mail-account", PER_ACCOUNT);
    this.perAddress = shared("mail-address", PER_ADDRESS);
  }

  /** @throws Problem `too-many-requests` */
  async countConfirmation({ id }: Caller, address: string): Promise<void> {
    const digest = createHash("sha256").update(address.toLowerCase()).digest("base64url");
    for (const [limiter, key] of [
      [this.perAccount, id],
      [this.perAddress, digest],
    ] as const) {
      const state = await consume(limiter, key);
      if (state.consumedPoints > limiter.points) throw tooMany(state, "Too many mails ask for a confirmation.");
    }
  }
}

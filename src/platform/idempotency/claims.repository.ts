import { Injectable } from "@nestjs/common";
import { Database } from "../database/database.js";

/** How long a claim stands unless it is renewed, s: so long a key is blocked when the process at work has died. */
const LEASE_SECONDS = 15;
/** How often a claim is renewed, ms. */
export const RENEWAL_MS = (LEASE_SECONDS * 1000) / 3;
/** How long an answer is kept, h. */
const KEPT_HOURS = 24;

type Bytes = Buffer<ArrayBuffer>;

export interface Claim {
  readonly id: Bytes;
  readonly accountId: string | null;
  readonly fingerprint: Bytes;
  /** Drawn anew for each request. */
  readonly claim: string;
}

/** An answer as it was given. */
export interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string;
}

/** What another request with the same key has come to. */
export interface Other {
  readonly fingerprint: Uint8Array;
  /** null while it is at work. */
  readonly answer: Answer | null;
}

/** Who is at work on a keyed request, and what it was answered. The clock is the database's, one for all processes. */
@Injectable()
export class ClaimsRepository {
  constructor(private readonly database: Database) {}

  /** Takes the request up; null when it is the caller's now, else the other request with this key. */
  async take({ id, accountId, fingerprint, claim }: Claim): Promise<Other | null> {
    for (;;) {
      const taken = await this.database.$executeRaw`
        INSERT INTO idempotency_key AS present (id, account_id, fingerprint, claim, claimed_until, expires_at)
        VALUES (${id}, ${accountId}::uuid, ${fingerprint}, ${claim}::uuid,
          now() + make_interval(secs => ${LEASE_SECONDS}), now() + make_interval(hours => ${KEPT_HOURS}::int))
        ON CONFLICT (id) DO UPDATE SET
          account_id = excluded.account_id, fingerprint = excluded.fingerprint, claim = excluded.claim,
          claimed_until = excluded.claimed_until, expires_at = excluded.expires_at,
          status = NULL, headers = NULL, body = NULL
        WHERE present.expires_at <= now()
          OR (present.status IS NULL AND present.claimed_until <= now() AND present.fingerprint = excluded.fingerprint)`;
      if (taken === 1) {
        await this.removeExpired();
        return null;
      }
      const row = await this.database.idempotencyKey.findUnique({ where: { id } });
      if (row) return { fingerprint: row.fingerprint, answer: answerOf(row) };
    }
  }

  async renew({ id, claim }: Claim): Promise<void> {
    await this.database.$executeRaw`
      UPDATE idempotency_key SET claimed_until = now() + make_interval(secs => ${LEASE_SECONDS})
      WHERE id = ${id} AND claim = ${claim}::uuid AND status IS NULL`;
  }

  /** Keeps the answer, unless the claim has lapsed and another has taken the request up. */
  async keep({ id, claim }: Claim, { status, headers, body }: Answer): Promise<void> {
    await this.database.idempotencyKey.updateMany({
      where: { id, claim, status: null },
      data: { status, headers: { ...headers }, body },
    });
  }

  /** Frees the key, as if it had never been sent. */
  async release({ id, claim }: Claim): Promise<void> {
    await this.database.idempotencyKey.deleteMany({ where: { id, claim, status: null } });
  }

  private async removeExpired(): Promise<void> {
    await this.database.$executeRaw`
      DELETE FROM idempotency_key WHERE id IN (
        SELECT id FROM idempotency_key WHERE expires_at <= now() LIMIT 100 FOR UPDATE SKIP LOCKED)`;
  }
}

function answerOf({ status, headers, body }: { status: number | null; headers: unknown; body: string | null }) {
  if (status === null) return null;
  return { status, headers: headers as Answer["headers"], body: body ?? "" };
}

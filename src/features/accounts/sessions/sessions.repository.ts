import { Injectable } from "@nestjs/common";
import type { Session } from "../../../generated/prisma/client.js";
import { tellCredentialsEnded } from "../../../platform/auth/open-streams.js";
import { Database } from "../../../platform/database/database.js";
import { unlessStorageUnavailable } from "../../../platform/database/errors.js";
import { byId } from "../../../platform/paging/by-id.js";
import type { Window } from "../../../platform/paging/page.js";

/** How stale the note of a last use may be, ms: not every request writes. */
export const LAST_USE_MS = 5 * 60_000;
/** Most sessions of an account; a new one ends the one that was used longest ago. */
const MAX_SESSIONS = 50;

/** A session with the account that it is of. */
export interface SessionInUse {
  readonly id: string;
  readonly expiresAt: Date;
  readonly lastUsedAt: Date;
  readonly accountId: string;
  readonly handle: string;
  readonly role: string;
  readonly suspendedAt: Date | null;
}

const SESSION = `
  SELECT session.id, expires_at AS "expiresAt", last_used_at AS "lastUsedAt", account_id AS "accountId", handle, role,
    suspended_at AS "suspendedAt"
  FROM session JOIN account ON account.id = session.account_id`;
const SESSION_IN_USE = `${SESSION} WHERE token_hash = $1 AND erased_at IS NULL`;
const STANDING_SESSION = `${SESSION} WHERE session.id = $1::uuid AND erased_at IS NULL`;

@Injectable()
export class SessionsRepository {
  constructor(private readonly database: Database) {}

  async create(accountId: string, tokenHash: Buffer<ArrayBuffer>, expiresAt: Date): Promise<void> {
    await this.database.session.deleteMany({ where: { accountId, expiresAt: { lt: new Date() } } });
    await this.database.session.create({ data: { accountId, tokenHash, expiresAt } });
    const tooMany = await this.database.session.findMany({
      where: { accountId },
      orderBy: { lastUsedAt: "desc" },
      skip: MAX_SESSIONS,
      select: { id: true },
    });
    if (tooMany.length > 0) {
      await this.database.session.deleteMany({ where: { id: { in: tooMany.map(({ id }) => id) } } });
      await tellCredentialsEnded(this.database, accountId);
    }
  }

  /** The session that a token opens and its account, and notes its use; null when there is none, or the account is erased. */
  async use(tokenHash: Buffer<ArrayBuffer>): Promise<SessionInUse | null> {
    const now = new Date();
    const [session] = await this.database.prepared<SessionInUse>("session-in-use", SESSION_IN_USE, [tokenHash]);
    if (!session || session.expiresAt <= now) return null;
    if (now.getTime() - session.lastUsedAt.getTime() > LAST_USE_MS) {
      const noted = this.database.session.updateMany({ where: { id: session.id }, data: { lastUsedAt: now } });
      await noted.catch(unlessStorageUnavailable);
    }
    return session;
  }

  /** A session by its id, whose use is not noted; null when it has ended, or the account is erased. */
  async standing(id: string): Promise<SessionInUse | null> {
    const [session] = await this.database.prepared<SessionInUse>("standing-session", STANDING_SESSION, [id]);
    return session && session.expiresAt > new Date() ? session : null;
  }

  /** Newest first. */
  list(accountId: string, window: Window): Promise<Session[]> {
    const { where, ...page } = byId(window, "desc");
    return this.database.session.findMany({ where: { ...openSessionsOf(accountId), ...where }, ...page });
  }

  count(accountId: string): Promise<number> {
    return this.database.session.count({ where: openSessionsOf(accountId) });
  }

  async end(id: string, accountId: string): Promise<boolean> {
    const { count } = await this.database.session.deleteMany({ where: { id, accountId } });
    if (count > 0) await tellCredentialsEnded(this.database, accountId);
    return count > 0;
  }
}

function openSessionsOf(accountId: string) {
  return { accountId, expiresAt: { gt: new Date() } };
}

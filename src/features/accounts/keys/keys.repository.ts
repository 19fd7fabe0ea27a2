import { Injectable } from "@nestjs/common";
import type { ApiKey } from "../../../generated/prisma/client.js";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import { tellCredentialsEnded } from "../../../platform/auth/open-streams.js";
import { Database } from "../../../platform/database/database.js";
import { unlessStorageUnavailable } from "../../../platform/database/errors.js";
import { byId } from "../../../platform/paging/by-id.js";
import type { Window } from "../../../platform/paging/page.js";
import type { Account } from "../accounts.repository.js";
import { LAST_USE_MS } from "../sessions/sessions.repository.js";
import type { KeyInput } from "./keys.views.js";

/** A key with the account that it is of. */
export type KeyInUse = ApiKey & { readonly account: Account };

@Injectable()
export class KeysRepository {
  constructor(
    private readonly database: Database,
    private readonly auditLog: AuditLog,
  ) {}

  /** Null when the account has as many keys as it may have. */
  create(
    accountId: string,
    { label, scopes }: KeyInput,
    keyHash: Buffer<ArrayBuffer>,
    most: number,
  ): Promise<ApiKey | null> {
    return this.auditLog.transaction(async (tx) => {
      await tx.$queryRaw`SELECT FROM account WHERE id = ${accountId}::uuid FOR UPDATE`;
      if ((await tx.apiKey.count({ where: { accountId } })) >= most) return null;
      const key = await tx.apiKey.create({ data: { accountId, label, scopes, keyHash } });
      const subject = { kind: "key", id: key.id } as const;
      this.auditLog.record(tx, { actorId: accountId, event: "create", subject, to: scopes.join(" ") });
      return key;
    });
  }

  /** The key with its account, and notes its use; null when there is none, or the account is erased. */
  async use(keyHash: Buffer<ArrayBuffer>): Promise<KeyInUse | null> {
    const where = { keyHash, account: { erasedAt: null } };
    const key = await this.database.apiKey.findUnique({ where, include: { account: true } });
    if (key && Date.now() - (key.lastUsedAt?.getTime() ?? 0) > LAST_USE_MS) {
      const noted = this.database.apiKey.updateMany({ where: { id: key.id }, data: { lastUsedAt: new Date() } });
      await noted.catch(unlessStorageUnavailable);
    }
    return key;
  }

  /** A key by its id, whose use is not noted; null when it was deleted, or the account is erased. */
  standing(id: string): Promise<KeyInUse | null> {
    return this.database.apiKey.findUnique({ where: { id, account: { erasedAt: null } }, include: { account: true } });
  }

  /** Newest first. */
  list(accountId: string, window: Window): Promise<ApiKey[]> {
    const { where, ...page } = byId(window, "desc");
    return this.database.apiKey.findMany({ where: { accountId, ...where }, ...page });
  }

  count(accountId: string): Promise<number> {
    return this.database.apiKey.count({ where: { accountId } });
  }

  delete(id: string, accountId: string): Promise<boolean> {
    return this.auditLog.transaction(async (tx) => {
      await tx.$queryRaw`SELECT FROM api_key WHERE id = ${id}::uuid AND account_id = ${accountId}::uuid FOR UPDATE`;
      await tx.$queryRaw`
        SELECT FROM webhook WHERE api_key_id = ${id}::uuid AND account_id = ${accountId}::uuid ORDER BY id FOR UPDATE`;
      const { count } = await tx.apiKey.deleteMany({ where: { id, accountId } });
      if (count > 0) {
        this.auditLog.record(tx, { actorId: accountId, event: "delete", subject: { kind: "key", id } });
        await tellCredentialsEnded(tx, accountId);
      }
      return count > 0;
    });
  }
}

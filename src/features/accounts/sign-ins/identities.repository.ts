import { Injectable } from "@nestjs/common";
import type { Identity } from "../../../generated/prisma/client.js";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import type { ProvenIdentity } from "../../../platform/identity-provider/identity-provider.js";
import { byId } from "../../../platform/paging/by-id.js";
import type { Window } from "../../../platform/paging/page.js";
import type { Account } from "../accounts.repository.js";

/** Which account somebody has who signs in at the identity provider. */
@Injectable()
export class IdentitiesRepository {
  constructor(
    private readonly database: Database,
    private readonly auditLog: AuditLog,
  ) {}

  async accountOf({ issuer, subject }: ProvenIdentity, tx: Transaction = this.database): Promise<Account | null> {
    const where = { issuer_subject: { issuer, subject } };
    return (await tx.identity.findUnique({ where, include: { account: true } }))?.account ?? null;
  }

  /** The record names neither issuer nor subject: it is never erased. Null when the account was erased meanwhile. */
  async link(tx: Transaction, accountId: string, { issuer, subject }: ProvenIdentity): Promise<Identity | null> {
    const standing = await tx.$queryRaw<object[]>`
      SELECT FROM account WHERE id = ${accountId}::uuid AND erased_at IS NULL FOR SHARE`;
    if (standing.length === 0) return null;
    const identity = await tx.identity.create({ data: { accountId, issuer, subject } });
    this.record(tx, "link-identity", accountId, identity.id);
    return identity;
  }

  /** `last`: it is the account's only way in. Null when the account has no such identity. */
  unlink(id: string, accountId: string): Promise<"unlinked" | "last" | null> {
    return this.auditLog.transaction(async (tx) => {
      const [account] = await tx.$queryRaw<{ hasPassword: boolean }[]>`
        SELECT password_hash IS NOT NULL AS "hasPassword" FROM account WHERE id = ${accountId}::uuid FOR UPDATE`;
      if (!(await tx.identity.findFirst({ where: { id, accountId } }))) return null;
      if (!account?.hasPassword && (await tx.identity.count({ where: { accountId } })) === 1) return "last";
      await tx.identity.delete({ where: { id } });
      this.record(tx, "unlink-identity", accountId, id);
      return "unlinked";
    });
  }

  /** Newest first. */
  list(accountId: string, window: Window): Promise<Identity[]> {
    const { where, ...page } = byId(window, "desc");
    return this.database.identity.findMany({ where: { accountId, ...where }, ...page });
  }

  count(accountId: string): Promise<number> {
    return this.database.identity.count({ where: { accountId } });
  }

  private record(tx: Transaction, event: string, accountId: string, identityId: string): void {
    const subject = { kind: "account", id: accountId } as const;
    this.auditLog.record(tx, { actorId: accountId, event, subject, to: identityId });
  }
}

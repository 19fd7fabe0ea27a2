import { Injectable } from "@nestjs/common";
import type { Account as AccountModel, Prisma } from "../../generated/prisma/client.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Role } from "../../platform/auth/account.js";
import { tellCredentialsEnded } from "../../platform/auth/open-streams.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { containing, equalIgnoringCase } from "../../platform/database/rows/patterns.js";
import { isUuid } from "../../platform/database/rows/uuid.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import { NoticeWriter } from "../notices/notice-writer.service.js";
import { ErasedHandlesRepository, HandleErased } from "./erased-handles.repository.js";

/** An account without its password hash, which only who checks a password reads. */
export type Account = Omit<AccountModel, "passwordHash">;

/** Which accounts a list shows; null where a part of it is not asked for. */
export interface AccountsFilter {
  readonly role: Role | null;
  readonly search: string | null;
  readonly isSuspended: boolean | null;
}

export type ListedAccount = Account & { readonly _count: { readonly runs: number } };

/** A handle with what it, and those that look like it, are remembered by when its account is erased. */
export interface DigestedHandle {
  readonly handle: string;
  readonly digests: readonly Buffer<ArrayBuffer>[];
}

/** What a password is checked against; null where an account has none. */
export type Credentials = Pick<AccountModel, "id" | "passwordHash">;

@Injectable()
export class AccountsRepository {
  constructor(
    private readonly database: Database,
    private readonly auditLog: AuditLog,
    private readonly erasedHandlesRepository: ErasedHandlesRepository,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  /** Null when the handle, or one that looks like it, is taken. `before` is done in the same transaction, and undone with it when it throws. */
  async create(
    handle: string,
    passwordHash: string,
    role: Role,
    before?: (tx: Transaction) => Promise<void>,
  ): Promise<Account | null> {
    const digests = await this.digestsOf(handle);
    try {
      return await this.auditLog.transaction(async (tx) => {
        await before?.(tx);
        return this.createIn(tx, { handle, digests }, passwordHash, role);
      });
    } catch (error) {
      if (isDuplicate(error) || error instanceof HandleErased) return null;
      throw error;
    }
  }

  /** Throws when the handle is taken or was that of an erased account, or looks like such a one. Without a password nobody logs in but through an identity that is linked. */
  async createIn(
    tx: Transaction,
    { handle, digests }: DigestedHandle,
    passwordHash: string | null,
    role: Role,
  ): Promise<Account> {
    const account = await tx.account.create({ data: { handle, passwordHash, role } });
    await this.erasedHandlesRepository.requireNotErased(tx, digests);
    this.record(tx, { actorId: account.id, event: "register", id: account.id, to: role });
    return account;
  }

  /** What a handle is remembered by when its account is erased; taken before a transaction begins. */
  digestsOf(handle: string): Promise<Buffer<ArrayBuffer>[]> {
    return this.erasedHandlesRepository.digestsOf(handle);
  }

  async passwordHashOf(id: string): Promise<string | null> {
    const select = { passwordHash: true } as const;
    return (await this.database.account.findUniqueOrThrow({ where: { id }, select })).passwordHash;
  }

  credentialsOf(handle: string): Promise<Credentials | null> {
    const select = { id: true, passwordHash: true } as const;
    return this.database.account.findFirst({ where: { handle: equalIgnoringCase(handle) }, select });
  }

  /** Some accounts as others see them. */
  testers(ids: readonly string[]): Promise<Pick<AccountModel, "id" | "handle">[]> {
    return this.database.account.findMany({ where: { id: { in: [...ids] } }, select: { id: true, handle: true } });
  }

  async any(): Promise<boolean> {
    return (await this.database.account.findFirst({ select: { id: true } })) !== null;
  }

  /** In the order in which they registered; erased ones are left out. */
  list(filter: AccountsFilter, window: Window): Promise<ListedAccount[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.account.findMany({
      where: { AND: [whereOf(filter), where] },
      ...page,
      include: { _count: { select: { runs: true } } },
    });
  }

  count(filter: AccountsFilter): Promise<number> {
    return this.database.account.count({ where: whereOf(filter) });
  }

  /** Id of the account with this handle, whatever its case, or with this id; null when there is none. */
  async idOf(handleOrId: string): Promise<string | null> {
    const where = isUuid(handleOrId) ? { id: handleOrId } : { handle: equalIgnoringCase(handleOrId) };
    return (await this.database.account.findFirst({ where, select: { id: true } }))?.id ?? null;
  }

  /** As the operator of the service, beside the APIs. */
  async updateRole(handle: string, role: Role): Promise<boolean> {
    const id = await this.idOf(handle);
    return id !== null && (await this.setRole(id, role, null, null)) !== null;
  }

  /** Null when there is no such account. */
  setRole(id: string, role: Role, actorId: string | null, reason: string | null): Promise<Account | null> {
    return this.auditLog.transaction(async (tx) => {
      const [before] = await tx.$queryRaw<{ role: string }[]>`
        SELECT role FROM account WHERE id = ${id}::uuid AND erased_at IS NULL FOR UPDATE`;
      if (!before) return null;
      const account = await tx.account.update({ where: { id }, data: { role } });
      if (before.role === role) return account;
      this.record(tx, { actorId, event: "grant", id, from: before.role, to: role, reason });
      const reasonOf = { kind: "account", id, event: "grant" } as const;
      const facts = { from: before.role, to: role };
      if (actorId !== id) {
        await this.noticeWriter.tell(tx, [{ kind: "role-changed", accountId: id, subjectId: id, facts, reasonOf }]);
      }
      return account;
    });
  }

  /** Ends every session but the one that is kept. */
  async setPassword(id: string, passwordHash: string, keptSessionId: string): Promise<void> {
    await this.auditLog.transaction(async (tx) => {
      await tx.account.update({ where: { id }, data: { passwordHash }, select: { id: true } });
      await tx.session.deleteMany({ where: { accountId: id, id: { not: keptSessionId } } });
      await tellCredentialsEnded(tx, id);
      this.record(tx, { actorId: id, event: "change-password", id });
    });
  }

  /** Erases what is personal; what others' results rest on stays, under the new handle. */
  async erase(id: string, handle: string): Promise<void> {
    const before = await this.database.account.findUniqueOrThrow({ where: { id }, select: { handle: true } });
    const digests = await this.digestsOf(before.handle);
    await this.auditLog.transaction(async (tx) => {
      await tx.$queryRaw`SELECT FROM run WHERE tester_id = ${id}::uuid ORDER BY id FOR NO KEY UPDATE`;
      const { role } = await tx.account.findUniqueOrThrow({ where: { id }, select: { role: true } });
      const identities = await tx.identity.findMany({
        where: { accountId: id },
        select: { issuer: true, subject: true },
      });
      if (identities.length > 0) await tx.signIn.deleteMany({ where: { OR: identities } });
      await tx.$queryRaw`SELECT FROM account WHERE id = ${id}::uuid FOR NO KEY UPDATE`;
      await tx.$queryRaw`SELECT FROM api_key WHERE account_id = ${id}::uuid ORDER BY id FOR UPDATE`;
      await tx.$queryRaw`SELECT FROM webhook WHERE account_id = ${id}::uuid ORDER BY id FOR UPDATE`;
      await tx.mailAddress.deleteMany({ where: { accountId: id } });
      const ways = { sessions: { deleteMany: {} }, apiKeys: { deleteMany: {} }, identities: { deleteMany: {} } };
      const told = { notices: { deleteMany: {} }, webhooks: { deleteMany: {} } };
      const gone = { passwordHash: null, ...ways, ...told };
      await tx.account.update({
        where: { id },
        data: { handle, role: "tester", erasedAt: new Date(), ...gone },
        select: { id: true },
      });
      await tellCredentialsEnded(tx, id);
      await this.erasedHandlesRepository.add(tx, digests);
      await tx.idempotencyKey.deleteMany({ where: { accountId: id } });
      await tx.columnMap.deleteMany({ where: { ownerId: id } });
      await tx.run.updateMany({ where: { testerId: id }, data: { fileName: "log" } });
      // Labels are what a person called their things: others are shown what tells them apart, and no more.
      await tx.$executeRaw`UPDATE specimen SET label = 'specimen-' || right(id::text, 12) WHERE owner_id = ${id}::uuid`;
      await tx.$executeRaw`UPDATE bench SET label = 'bench-' || right(id::text, 12) WHERE owner_id = ${id}::uuid`;
      await this.auditLog.eraseReasonsOf(tx, id);
      this.record(tx, { actorId: id, event: "erase", id, from: role, to: "erased" });
    });
  }

  private record(
    tx: Transaction,
    {
      id,
      ...rest
    }: { actorId: string | null; event: string; id: string; from?: string; to?: string; reason?: string | null },
  ): void {
    this.auditLog.record(tx, { ...rest, subject: { kind: "account", id } });
  }
}

function whereOf({ role, search, isSuspended }: AccountsFilter): Prisma.AccountWhereInput {
  return {
    erasedAt: null,
    ...(role ? { role } : {}),
    ...(search ? { handle: containing(search) } : {}),
    ...(isSuspended === null ? {} : { suspendedAt: isSuspended ? { not: null } : null }),
  };
}

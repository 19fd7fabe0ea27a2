import { Injectable } from "@nestjs/common";
import type { MailAddress, Notice } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";
import type { NewNotice } from "../notices/notice-writer.service.js";

export const CONFIRM_MAIL_ADDRESS = "confirm-mail-address";
export const MAIL_NOTICES = "mail-notices";

/** How long a job has the mail of an account to itself, s: longer than a conversation with a server takes. */
const LEASE_SECONDS = 300;

/** Where a mail goes. */
export type Addressee = Pick<MailAddress, "accountId" | "address" | "unsubscribeToken">;

@Injectable()
export class MailAddressesRepository {
  constructor(private readonly database: Database) {}

  find(accountId: string): Promise<MailAddress | null> {
    return this.database.mailAddress.findUnique({ where: { accountId } });
  }

  /** Puts an address in the place of the one before, and queues the mail that asks to confirm it; false when the account was erased. */
  async set(accountId: string, address: string, unsubscribeToken: string): Promise<boolean> {
    return this.database.$transaction(async (tx) => {
      const accounts = await tx.$queryRaw<object[]>`
        SELECT FROM account WHERE id = ${accountId}::uuid AND erased_at IS NULL FOR SHARE`;
      if (accounts.length === 0) return false;
      await tx.$executeRaw`
        INSERT INTO mail_address (account_id, address, unsubscribe_token)
        VALUES (${accountId}::uuid, ${address}, ${unsubscribeToken})
        ON CONFLICT (account_id) DO UPDATE SET address = excluded.address, unsubscribe_token = excluded.unsubscribe_token,
          confirmed_at = NULL, confirm_hash = NULL, confirm_until = NULL, sending_until = NULL, failing_since = NULL, created_at = now()`;
      await addJob(tx, CONFIRM_MAIL_ADDRESS, { accountId }, `${CONFIRM_MAIL_ADDRESS}:${accountId}`, "follow-up");
      return true;
    });
  }

  async remove(accountId: string): Promise<void> {
    await this.database.mailAddress.deleteMany({ where: { accountId } });
  }

  /** Removes an address that it locks with its account before; false when the account has set another one meanwhile. */
  async removeThis(tx: Transaction, { accountId, address }: Addressee): Promise<boolean> {
    await tx.$queryRaw`SELECT FROM account WHERE id = ${accountId}::uuid FOR KEY SHARE`;
    return (await tx.mailAddress.deleteMany({ where: { accountId, address } })).count > 0;
  }

  /**
   * Makes a token the one that confirms an address; the one before is good for nothing.
   *
   * @returns false when the account has set another address meanwhile: the token must not be mailed to this one
   */
  async expect(
    { accountId, address }: Addressee,
    confirmHash: Uint8Array<ArrayBuffer>,
    confirmUntil: Date,
  ): Promise<boolean> {
    const where = { accountId, address, confirmedAt: null };
    return (await this.database.mailAddress.updateMany({ where, data: { confirmHash, confirmUntil } })).count > 0;
  }

  async isConfirmable(confirmHash: Uint8Array<ArrayBuffer>): Promise<boolean> {
    return (await this.database.mailAddress.count({ where: confirmableBy(confirmHash) })) > 0;
  }

  async confirm(confirmHash: Uint8Array<ArrayBuffer>): Promise<boolean> {
    const where = confirmableBy(confirmHash);
    const data = { confirmedAt: new Date(), confirmHash: null, confirmUntil: null };
    return (await this.database.mailAddress.updateMany({ where, data })).count > 0;
  }

  async isMailedTo(unsubscribeToken: string): Promise<boolean> {
    return (await this.database.mailAddress.count({ where: { unsubscribeToken } })) > 0;
  }

  async unsubscribe(unsubscribeToken: string): Promise<void> {
    await this.database.mailAddress.deleteMany({ where: { unsubscribeToken } });
  }

  /**
   * Marks notices whose accounts have a confirmed address as to be mailed, and queues that. Each transaction queues a job of its own: under a shared
   * key those that tell one account would wait for each other, with all their locks.
   *
   * @returns whether there is anything to mail
   */
  async due(tx: Transaction, notices: readonly Notice[], afterSeconds: number): Promise<boolean> {
    const ids = notices.map(({ id }) => id);
    const due = await tx.$queryRaw<{ id: string; accountId: string }[]>`
      UPDATE notice SET mail_due = true FROM mail_address
      WHERE notice.id = ANY(${ids}::uuid[]) AND mail_address.account_id = notice.account_id AND confirmed_at IS NOT NULL
      RETURNING notice.id::text, notice.account_id::text AS "accountId"`;
    const jobs = [...Map.groupBy(due, (notice) => notice.accountId)].map(([id, [first]]) => {
      return { payload: { accountId: id }, key: `${MAIL_NOTICES}:${first?.id}` };
    });
    await addJobs(tx, MAIL_NOTICES, jobs, { turn: 0, lane: "background", afterSeconds });
    return due.length > 0;
  }

  /** Takes the mail of an account for one job alone, with the address that is confirmed now; null when there is none, another job has it, or all wait. */
  async take(accountId: string): Promise<Addressee | null> {
    const [taken = null] = await this.database.$queryRaw<Addressee[]>`
      UPDATE mail_address SET sending_until = now() + make_interval(secs => ${LEASE_SECONDS}::int)
      WHERE account_id = ${accountId}::uuid AND confirmed_at IS NOT NULL AND coalesce(sending_until, now()) <= now()
      RETURNING account_id::text AS "accountId", address, unsubscribe_token AS "unsubscribeToken"`;
    return taken;
  }

  /** Lets others have it from now on, or from so many seconds on; one that was set meanwhile is not touched. */
  async release({ accountId, address }: Addressee, afterSeconds = 0): Promise<void> {
    await this.database.$executeRaw`
      UPDATE mail_address SET sending_until = now() + make_interval(secs => ${afterSeconds}::float8)
      WHERE account_id = ${accountId}::uuid AND address = ${address}`;
  }

  /** Notes that a mail to an address was taken, or not. @returns since when none is, null for an address that was replaced */
  async noteOutcome({ accountId, address }: Addressee, isTaken: boolean): Promise<Date | null> {
    const [row] = await this.database.$queryRaw<{ failingSince: Date | null }[]>`
      UPDATE mail_address SET failing_since = CASE WHEN ${isTaken} THEN NULL ELSE coalesce(failing_since, now()) END
      WHERE account_id = ${accountId}::uuid AND address = ${address}
      RETURNING failing_since AS "failingSince"`;
    return row?.failingSince ?? null;
  }

  /** Queues the mail that asks to confirm an address again, unless another was set meanwhile, which has a job of its own. */
  async askAgain({ accountId, address }: Addressee, afterSeconds: number): Promise<void> {
    await this.database.$transaction(async (tx) => {
      const same = await tx.$queryRaw<object[]>`
        SELECT FROM mail_address WHERE account_id = ${accountId}::uuid AND address = ${address} AND confirmed_at IS NULL FOR SHARE`;
      if (same.length === 0) return;
      const order = { turn: 0, lane: "background", afterSeconds } as const;
      await addJob(tx, CONFIRM_MAIL_ADDRESS, { accountId }, `${CONFIRM_MAIL_ADDRESS}:${accountId}`, order);
    });
  }

  /** Whether an account has been told something of a kind since then. */
  async wasTold(tx: Transaction, accountId: string, kind: NewNotice["kind"], since: Date): Promise<boolean> {
    const where = { accountId, kind, createdAt: { gte: since } };
    return (await tx.notice.findFirst({ where, select: { id: true } })) !== null;
  }

  /** Notices that are to be mailed, the oldest first. */
  dueNotices(accountId: string, take: number): Promise<Notice[]> {
    return this.database.notice.findMany({ where: { accountId, mailDue: true }, orderBy: { id: "asc" }, take });
  }

  /** Notes that notices are to be mailed no more: these, or all of an account. */
  async mailed(accountId: string, notices: readonly Pick<Notice, "id">[] | null): Promise<void> {
    const some = notices ? { id: { in: notices.map((notice) => notice.id) } } : {};
    await this.database.notice.updateMany({ where: { accountId, mailDue: true, ...some }, data: { mailDue: false } });
  }

  /** Queues the mail of an account anew. */
  queue(accountId: string, afterSeconds: number): Promise<void> {
    const order = { turn: 0, lane: "background", afterSeconds } as const;
    return addJob(this.database, MAIL_NOTICES, { accountId }, `${MAIL_NOTICES}:${accountId}`, order);
  }

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(work);
  }
}

const confirmableBy = (confirmHash: Uint8Array<ArrayBuffer>) => ({
  confirmHash,
  confirmedAt: null,
  confirmUntil: { gt: new Date() },
});

import { Injectable } from "@nestjs/common";
import type { MailAddress, Notice } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";

export const CONFIRM_MAIL_ADDRESS = "confirm-mail-address";
export const MAIL_NOTICES = "mail-notices";

/** How long a job has the mail of an account to itself, s: longer than a conversation with a server takes. */
const LEASE_SECONDS = 300;

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
          confirmed_at = NULL, confirm_hash = NULL, confirm_until = NULL, sending_until = NULL, created_at = now()`;
      await addJob(tx, CONFIRM_MAIL_ADDRESS, { accountId }, `${CONFIRM_MAIL_ADDRESS}:${accountId}`, "background");
      return true;
    });
  }

  async remove(accountId: string): Promise<void> {
    await this.database.mailAddress.deleteMany({ where: { accountId } });
  }

  /** Removes an address, unless its account has set another one meanwhile; false then. */
  async removeThis(tx: Transaction, { accountId, address }: MailAddress): Promise<boolean> {
    return (await tx.mailAddress.deleteMany({ where: { accountId, address } })).count > 0;
  }

  /**
   * Makes a token the one that confirms an address; the one before is good for nothing.
   *
   * @returns false when the account has set another address meanwhile: the token must not be mailed to this one
   */
  async expect(
    { accountId, address }: MailAddress,
    confirmHash: Uint8Array<ArrayBuffer>,
    confirmUntil: Date,
  ): Promise<boolean> {
    const where = { accountId, address, confirmedAt: null };
    return (await this.database.mailAddress.updateMany({ where, data: { confirmHash, confirmUntil } })).count > 0;
  }

  async confirm(confirmHash: Uint8Array<ArrayBuffer>): Promise<boolean> {
    const where = { confirmHash, confirmedAt: null, confirmUntil: { gt: new Date() } };
    const data = { confirmedAt: new Date(), confirmHash: null, confirmUntil: null };
    return (await this.database.mailAddress.updateMany({ where, data })).count > 0;
  }

  async unsubscribe(unsubscribeToken: string): Promise<void> {
    await this.database.mailAddress.deleteMany({ where: { unsubscribeToken } });
  }

  /**
   * Marks notices whose accounts have a confirmed address as to be mailed, and queues that. Each transaction queues a job of its own: under a shared
   * key those that tell one account would wait for each other, with all their locks.
   */
  async due(tx: Transaction, notices: readonly Notice[], afterSeconds: number): Promise<void> {
    const accountId = { in: [...new Set(notices.map((notice) => notice.accountId))] };
    const found = await tx.mailAddress.findMany({
      where: { accountId, confirmedAt: { not: null } },
      select: { accountId: true },
    });
    const confirmed = new Set(found.map((one) => one.accountId));
    const due = notices.filter((notice) => confirmed.has(notice.accountId));
    await tx.notice.updateMany({ where: { id: { in: due.map(({ id }) => id) } }, data: { mailDue: true } });
    const jobs = [...Map.groupBy(due, (notice) => notice.accountId)].map(([id, [first]]) => {
      return { payload: { accountId: id }, key: `${MAIL_NOTICES}:${first?.id}` };
    });
    await addJobs(tx, MAIL_NOTICES, jobs, { turn: 0, lane: "background", afterSeconds });
  }

  /** Takes the mail of an account for one job alone; false while another has it, or after a failure. */
  async take(accountId: string): Promise<boolean> {
    const count = await this.database.$executeRaw`
      UPDATE mail_address SET sending_until = now() + make_interval(secs => ${LEASE_SECONDS}::int)
      WHERE account_id = ${accountId}::uuid AND coalesce(sending_until, now()) <= now()`;
    return count > 0;
  }

  /** Lets others have it from now on, or from so many seconds on. */
  async release(accountId: string, afterSeconds = 0): Promise<void> {
    await this.database.$executeRaw`
      UPDATE mail_address SET sending_until = now() + make_interval(secs => ${afterSeconds}::float8)
      WHERE account_id = ${accountId}::uuid`;
  }

  /** Notices that are to be mailed, the oldest first. */
  dueNotices(accountId: string, take: number): Promise<Notice[]> {
    return this.database.notice.findMany({ where: { accountId, mailDue: true }, orderBy: { id: "asc" }, take });
  }

  /** Notes that notices are to be mailed no more: these, or all of an account. */
  async mailed(accountId: string, notices: readonly Notice[] | null): Promise<void> {
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

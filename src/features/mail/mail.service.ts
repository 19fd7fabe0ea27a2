import { Inject, Injectable, Logger, type OnModuleInit } from "@nestjs/common";
import type { MailAddress, Notice } from "../../generated/prisma/client.js";
import { hashOfToken, newToken } from "../../platform/auth/tokens.js";
import { CONFIG, type Config } from "../../platform/config/config.js";
import type { Transaction } from "../../platform/database/database.js";
import { isNoAddress, Mailer, type MailText } from "../../platform/outgoing/mailer.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { type NoticeOutlet, NoticeWriter, noticeView } from "../notices/notice-writer.service.js";
import { CONFIRM_MAIL_ADDRESS, MAIL_NOTICES, MailAddressesRepository } from "./mail-addresses.repository.js";
import { confirmationText, noticesText } from "./mail-text.js";

const CONFIRM_HOURS = 24;
/** Notices of one mail; more go into the next one. */
const MAX_NOTICES = 50;
/** Longest pause until a mail is tried again, s, and for how long notices are worth a mail, s. */
const MAX_PAUSE_SECONDS = 3_600;
const WORTH_SECONDS = 3 * 86_400;

/** Mails what accounts are told to their confirmed addresses: what comes within a minute goes into one mail. */
@Injectable()
export class MailService implements NoticeOutlet, OnModuleInit {
  private readonly logger = new Logger("Mail");

  constructor(
    private readonly jobQueue: JobQueue,
    private readonly noticeWriter: NoticeWriter,
    private readonly mailAddressesRepository: MailAddressesRepository,
    private readonly mailer: Mailer,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  onModuleInit(): void {
    const accountOf = (payload: unknown) => (payload as { accountId: string }).accountId;
    this.jobQueue.handle(CONFIRM_MAIL_ADDRESS, (payload) => this.confirm(accountOf(payload)));
    this.jobQueue.handle(MAIL_NOTICES, (payload) => this.mail(accountOf(payload)));
    if (this.mailer.isConfigured) this.noticeWriter.addOutlet(this);
  }

  told(tx: Transaction, notices: readonly Notice[]): Promise<void> {
    return this.mailAddressesRepository.due(tx, notices, this.delaySeconds);
  }

  /** Mails the link that confirms an address; each try makes a token of its own, which is kept nowhere but in the mail. */
  private async confirm(accountId: string): Promise<void> {
    const found = await this.mailAddressesRepository.find(accountId);
    if (!this.mailer.isConfigured || !found || found.confirmedAt) return;
    const token = newToken();
    const until = new Date(Date.now() + CONFIRM_HOURS * 3_600_000);
    // Another address was set meanwhile: it has a job of its own.
    if (!(await this.mailAddressesRepository.expect(found, hashOfToken(token), until))) return;
    const text = confirmationText(this.mailer.link(`/v1/mail/confirm/${token}`), CONFIRM_HOURS);
    await this.sendTo(found, text);
  }

  /** Mails what is due. Of several jobs of an account one is at work; after a failure all wait, at first as long as the oldest notice did. */
  private async mail(accountId: string): Promise<void> {
    const address = await this.mailAddressesRepository.find(accountId);
    if (!address?.confirmedAt || !this.mailer.isConfigured) {
      return this.mailAddressesRepository.mailed(accountId, null);
    }
    if (!(await this.mailAddressesRepository.take(accountId))) {
      return this.mailAddressesRepository.queue(accountId, Math.max(1, this.delaySeconds));
    }
    let pauseSeconds = 0;
    try {
      pauseSeconds = await this.mailDue(address);
    } finally {
      await this.mailAddressesRepository.release(accountId, pauseSeconds);
    }
    const left = await this.mailAddressesRepository.dueNotices(accountId, 1);
    if (left.length > 0) await this.mailAddressesRepository.queue(accountId, pauseSeconds);
  }

  /** @returns how long to wait until the next mail, s */
  private async mailDue(address: MailAddress): Promise<number> {
    const { accountId, unsubscribeToken } = address;
    const notices = await this.mailAddressesRepository.dueNotices(accountId, MAX_NOTICES);
    const [oldest] = notices;
    if (!oldest) return 0;
    const unsubscribeUrl = this.mailer.link(`/v1/mail/unsubscribe/${unsubscribeToken}`);
    const text = noticesText(notices.map(noticeView), (path) => this.mailer.link(path), unsubscribeUrl);
    let pauseSeconds = 0;
    try {
      await this.sendTo(address, { ...text, unsubscribeUrl });
    } catch {
      const waitedSeconds = (Date.now() - oldest.createdAt.getTime()) / 1_000;
      pauseSeconds = Math.min(MAX_PAUSE_SECONDS, Math.max(1, this.delaySeconds, waitedSeconds));
      if (waitedSeconds < WORTH_SECONDS) return pauseSeconds;
    }
    await this.mailAddressesRepository.mailed(accountId, notices);
    return pauseSeconds;
  }

  /** Sends, and removes an address that its server refuses for good; its account is told. What is thrown and logged names no address. */
  private async sendTo(address: MailAddress, text: Omit<MailText, "to">): Promise<void> {
    const { accountId } = address;
    try {
      await this.mailer.send({ to: address.address, ...text });
    } catch (error) {
      const { code = "unknown", responseCode = "" } = error as { code?: string; responseCode?: number };
      this.logger.error(`a mail was not sent: ${code} ${responseCode}`);
      if (!isNoAddress(error)) throw new Error(`a mail was not sent: ${code}`);
      await this.mailAddressesRepository.transaction(async (tx) => {
        await this.noticeWriter.tell(tx, [{ kind: "mail-refused", accountId, subjectId: accountId }]);
        await this.mailAddressesRepository.removeThis(tx, address);
      });
    }
  }

  private get delaySeconds(): number {
    return this.config.mail?.delaySeconds ?? 0;
  }
}

import { Inject, Injectable, Logger, type OnModuleInit } from "@nestjs/common";
import type { Notice } from "../../generated/prisma/client.js";
import { hashOfToken, newToken } from "../../platform/auth/tokens.js";
import { CONFIG, type Config, MAIL_DELAY_SECONDS } from "../../platform/config/config.js";
import type { Transaction } from "../../platform/database/database.js";
import { isNoAddress, Mailer, type MailText, mailFaultOf } from "../../platform/outgoing/mailer.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { type NoticeOutlet, NoticeWriter, noticeView } from "../notices/notice-writer.service.js";
import {
  type Addressee,
  CONFIRM_MAIL_ADDRESS,
  MAIL_NOTICES,
  MailAddressesRepository,
} from "./mail-addresses.repository.js";
import { confirmationText, noticesText } from "./mail-text.js";

const CONFIRM_HOURS = 24;
/** Notices of one mail; more go into the next one. */
const MAX_NOTICES = 50;
/** Longest pause until a mail is tried again, s; for how long one that asks for a confirmation is tried, and notices are worth a mail, ms. */
const MAX_PAUSE_SECONDS = 3_600;
const CONFIRMATION_MS = 86_400_000;
const WORTH_MS = 3 * 86_400_000;

const FAILED = "mail-failed";

/** Mails what accounts are told to their confirmed addresses: what comes within a minute goes into one mail. */
@Injectable()
export class MailService implements NoticeOutlet, OnModuleInit {
  private readonly logger = new Logger("Mail");
  private hasWarned = false;

  constructor(
    private readonly jobQueue: JobQueue,
    private readonly noticeWriter: NoticeWriter,
    private readonly mailAddressesRepository: MailAddressesRepository,
    private readonly mailer: Mailer,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** A process without a server of mail leaves the mail to one that has it: the queue gives a job to nobody who does not do its task. */
  onModuleInit(): void {
    this.noticeWriter.addOutlet(this);
    if (!this.mailer.isConfigured) return;
    const accountOf = (payload: unknown) => (payload as { accountId: string }).accountId;
    this.jobQueue.handle(CONFIRM_MAIL_ADDRESS, (payload) => this.confirm(accountOf(payload)));
    this.jobQueue.handle(MAIL_NOTICES, (payload) => this.mail(accountOf(payload)));
  }

  /** That mails fail is not mailed. */
  async told(tx: Transaction, notices: readonly Notice[]): Promise<void> {
    const mailable = notices.filter(({ kind }) => kind !== FAILED);
    if (mailable.length === 0) return;
    const isDue = await this.mailAddressesRepository.due(tx, mailable, this.delaySeconds);
    if (!isDue || this.mailer.isConfigured || this.hasWarned) return;
    this.hasWarned = true;
    this.logger.warn("notices wait for a process with SMTP_URL, MAIL_FROM and PUBLIC_URL to mail them");
  }

  /** A mail is written to no row that others lock. */
  async hold(): Promise<void> {}

  /** Mails the link that confirms an address; each try makes a token of its own, which is kept nowhere but in the mail. */
  private async confirm(accountId: string): Promise<void> {
    const found = await this.mailAddressesRepository.find(accountId);
    if (!found || found.confirmedAt) return;
    const token = newToken();
    const until = new Date(Date.now() + CONFIRM_HOURS * 3_600_000);
    // Another address was set meanwhile: it has a job of its own.
    if (!(await this.mailAddressesRepository.expect(found, hashOfToken(token), until))) return;
    const text = confirmationText(this.mailer.link("/"), this.mailer.link(`/v1/mail/confirm/${token}`), CONFIRM_HOURS);
    const failure = await this.sendTo(found, text);
    if (!failure) return;
    const isOver = Date.now() - found.createdAt.getTime() >= CONFIRMATION_MS;
    if (isOver) await this.tellOfFailure(found, failure);
    else await this.mailAddressesRepository.askAgain(found, this.pauseAfter(failure));
  }

  /** Mails what is due. Of several jobs of an account one is at work; after a failure all wait, at first as long as mails have failed. */
  private async mail(accountId: string): Promise<void> {
    const addressee = await this.mailAddressesRepository.take(accountId);
    if (!addressee) return this.leave(accountId);
    let pauseSeconds = 0;
    try {
      pauseSeconds = await this.mailDue(addressee);
    } finally {
      await this.mailAddressesRepository.release(addressee, pauseSeconds);
    }
    const left = await this.mailAddressesRepository.dueNotices(accountId, 1);
    if (left.length > 0) await this.mailAddressesRepository.queue(accountId, pauseSeconds);
  }

  /** What is due waits while another job mails or all wait; without a confirmed address nothing is due. */
  private async leave(accountId: string): Promise<void> {
    const isConfirmed = (await this.mailAddressesRepository.find(accountId))?.confirmedAt;
    if (isConfirmed) await this.mailAddressesRepository.queue(accountId, Math.max(1, this.delaySeconds));
    else await this.mailAddressesRepository.mailed(accountId, null);
  }

  /** @returns how long to wait until the next mail, s */
  private async mailDue(addressee: Addressee): Promise<number> {
    const { accountId, unsubscribeToken } = addressee;
    const notices = await this.mailAddressesRepository.dueNotices(accountId, MAX_NOTICES);
    if (notices.length === 0) return 0;
    const unsubscribeUrl = this.mailer.link(`/v1/mail/unsubscribe/${unsubscribeToken}`);
    const text = noticesText(
      notices.map((notice) => noticeView(notice, null)),
      (path) => this.mailer.link(path),
      unsubscribeUrl,
    );
    const failure = await this.sendTo(addressee, { ...text, unsubscribeUrl });
    if (!failure) {
      await this.mailAddressesRepository.mailed(accountId, notices);
      return 0;
    }
    const old = notices.filter(({ createdAt }) => Date.now() - createdAt.getTime() >= WORTH_MS);
    if (old.length > 0) {
      await this.mailAddressesRepository.mailed(accountId, old);
      await this.tellOfFailure(addressee, failure);
    }
    return this.pauseAfter(failure);
  }

  /**
   * Sends, and removes an address of which the server says that there is none; its account is told. What is logged and told names no address.
   *
   * @returns null when the mail was taken, or there is nowhere to send it to any more; else what failed and since when
   */
  private async sendTo(addressee: Addressee, text: Omit<MailText, "to">): Promise<Failure | null> {
    try {
      await this.mailer.send({ to: addressee.address, ...text });
    } catch (error) {
      const fault = mailFaultOf(error);
      this.logger.error(`a mail was not sent: ${fault}`);
      if (!isNoAddress(error)) {
        const since = await this.mailAddressesRepository.noteOutcome(addressee, false);
        return { fault, since: since ?? new Date() };
      }
      await this.refused(addressee);
      return null;
    }
    await this.mailAddressesRepository.noteOutcome(addressee, true);
    return null;
  }

  /** Nothing is told of an address that was replaced before it was refused. */
  private async refused(addressee: Addressee): Promise<void> {
    const { accountId } = addressee;
    await this.mailAddressesRepository.transaction(async (tx) => {
      const isRemoved = await this.mailAddressesRepository.removeThis(tx, addressee);
      if (isRemoved) await this.noticeWriter.tell(tx, [{ kind: "mail-refused", accountId, subjectId: accountId }]);
    });
  }

  /** Once for as long as mails fail. */
  private async tellOfFailure({ accountId }: Addressee, { fault, since }: Failure): Promise<void> {
    await this.mailAddressesRepository.transaction(async (tx) => {
      if (await this.mailAddressesRepository.wasTold(tx, accountId, FAILED, since)) return;
      await this.noticeWriter.tell(tx, [{ kind: FAILED, accountId, subjectId: accountId, facts: { fault } }]);
    });
  }

  private pauseAfter({ since }: Failure): number {
    const failedSeconds = (Date.now() - since.getTime()) / 1_000;
    return Math.min(MAX_PAUSE_SECONDS, Math.max(1, this.delaySeconds, failedSeconds));
  }

  private get delaySeconds(): number {
    return this.config.mail?.delaySeconds ?? MAIL_DELAY_SECONDS;
  }
}

/** That a mail was not taken. */
interface Failure {
  /** Codes of the answer, or what became of the connection. */
  readonly fault: string;
  /** Since when none is taken. */
  readonly since: Date;
}

import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { hashOfToken, newToken } from "../../platform/auth/tokens.js";
import { MailLimits } from "../../platform/limits/mail-limits.js";
import { Mailer } from "../../platform/outgoing/mailer.js";
import { Problem } from "../../platform/problems/problem.js";
import type { MailAddressView } from "./mail.views.js";
import { MailAddressesRepository } from "./mail-addresses.repository.js";

/** Where notices are mailed to: an address counts once the link that was mailed to it was used. */
@Injectable()
export class MailAddressesService {
  constructor(
    private readonly mailAddressesRepository: MailAddressesRepository,
    private readonly mailer: Mailer,
    private readonly mailLimits: MailLimits,
  ) {}

  async get(caller: Caller): Promise<MailAddressView> {
    const found = await this.mailAddressesRepository.find(caller.id);
    const confirmedAt = found?.confirmedAt?.toISOString() ?? null;
    return { available: this.mailer.isConfigured, address: found?.address ?? null, confirmedAt };
  }

  /** Sets the address and mails the link that confirms it; one that is confirmed already stays as it is. */
  async set(address: string, caller: Caller): Promise<MailAddressView> {
    if (!this.mailer.isConfigured) throw new Problem("mail-not-configured", "Read GET /v1/notices, or make a webhook.");
    const found = await this.mailAddressesRepository.find(caller.id);
    if (!found?.confirmedAt || found.address !== address) {
      await this.mailLimits.countConfirmation(caller, address);
      const isSet = await this.mailAddressesRepository.set(caller.id, address, newToken());
      if (!isSet) throw new Problem("invalid-session", "The account was erased.");
    }
    return this.get(caller);
  }

  remove(caller: Caller): Promise<void> {
    return this.mailAddressesRepository.remove(caller.id);
  }

  /** Whether a token confirms an address now: it is not unknown, used or too old. */
  isConfirmable(token: string): Promise<boolean> {
    return this.mailAddressesRepository.isConfirmable(hashOfToken(token));
  }

  /** False for a token that is unknown, used or too old. */
  confirm(token: string): Promise<boolean> {
    return this.mailAddressesRepository.confirm(hashOfToken(token));
  }

  /** Whether mails with this token still go to an address. */
  isMailedTo(token: string): Promise<boolean> {
    return this.mailAddressesRepository.isMailedTo(token);
  }

  /** Forgets the address that mails with this token go to; that it is forgotten already is as good. */
  async unsubscribe(token: string): Promise<void> {
    await this.mailAddressesRepository.unsubscribe(token);
  }
}

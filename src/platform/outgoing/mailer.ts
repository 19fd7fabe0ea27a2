import { Inject, Injectable } from "@nestjs/common";
import { createTransport, type SendMailOptions } from "nodemailer";
import { isLoopback } from "../client/ip-address.js";
import { CONFIG, type Config, type MailConfig } from "../config/config.js";

/** How long each step of a conversation with the server may take, ms. */
const STEP_MS = 20_000;

const ONE_CLICK = "List-Unsubscribe=One-Click";

/** A mail of plain text. */
export interface MailText {
  readonly to: string;
  readonly subject: string;
  readonly text: string;
  /** Where a mail program unsubscribes by one click (RFC 8058). */
  readonly unsubscribeUrl?: string;
}

/** Sends mail by SMTP, where that is configured. */
@Injectable()
export class Mailer {
  private readonly settings: MailConfig | null;

  constructor(@Inject(CONFIG) { mail }: Config) {
    this.settings = mail;
  }

  get isConfigured(): boolean {
    return this.settings !== null;
  }

  /** A link to this service as people reach it. */
  link(path: string): string {
    return `${this.settings?.publicUrl.href.replace(/\/$/, "") ?? ""}${path}`;
  }

  /** @throws the server's or the connection's fault; see `isNoAddress` */
  async send({ to, subject, text, unsubscribeUrl }: MailText): Promise<void> {
    if (!this.settings) throw new Error("no mail is configured");
    const { from } = this.settings;
    const options: SendMailOptions = {
      from,
      // An address alone: what stands in it is never read as several, nor as a name.
      to: { name: "", address: to },
      subject,
      text,
      disableFileAccess: true,
      disableUrlAccess: true,
      headers: {
        // RFC 3834, 5: written by a program; nobody's vacation answers it.
        "Auto-Submitted": "auto-generated",
        ...(unsubscribeUrl ? { "List-Unsubscribe": `<${unsubscribeUrl}>`, "List-Unsubscribe-Post": ONE_CLICK } : {}),
      },
    };
    const transport = createTransport(transportOf(this.settings));
    try {
      await transport.sendMail(options);
    } finally {
      transport.close();
    }
  }
}

/**
 * Enhanced status codes that say that there is no such address (RFC 3463, 3.2; X.1.10 is that of RFC 7505, 4.2, in IANA's registry): no such mailbox,
 * no such system, no such syntax, moved without a trace, a domain that takes no mail.
 */
const NO_ADDRESS = new Set(["5.1.1", "5.1.2", "5.1.3", "5.1.6", "5.1.10"]);

/**
 * Whether the server says to RCPT TO that there is no such address. One that refuses without an enhanced status code, or refuses the sender or the
 * service itself, says nothing of the address.
 */
export function isNoAddress(error: unknown): boolean {
  const { command, response = "" } = error as SmtpFault;
  return command === "RCPT TO" && NO_ADDRESS.has(/^5\d\d[ -](5\.\d+\.\d+)(?!\S)/.exec(response)?.[1] ?? "");
}

/** What a server answered, as its codes alone, such as "550 5.7.1"; else what became of the connection. */
export function mailFaultOf(error: unknown): string {
  const { code = "unknown", response = "" } = error as SmtpFault;
  return /^([45]\d\d)[ -]([45]\.\d{1,3}\.\d{1,3})?/.exec(response)?.slice(1).filter(Boolean).join(" ") ?? code;
}

interface SmtpFault {
  readonly code?: string;
  readonly command?: string;
  readonly response?: string;
}

function transportOf({ smtpUrl }: MailConfig) {
  const isSecure = smtpUrl.protocol === "smtps:";
  const host = smtpUrl.hostname.replace(/^\[|\]$/g, "");
  const user = decodeURIComponent(smtpUrl.username);
  return {
    host,
    port: Number(smtpUrl.port) || (isSecure ? 465 : 587),
    secure: isSecure,
    // Nothing goes over a network unencrypted.
    requireTLS: !isSecure && host !== "localhost" && !isLoopback(host),
    ignoreTLS: !isSecure && (host === "localhost" || isLoopback(host)),
    ...(user ? { auth: { user, pass: decodeURIComponent(smtpUrl.password) } } : {}),
    connectionTimeout: STEP_MS,
    greetingTimeout: STEP_MS,
    socketTimeout: STEP_MS,
    logger: false,
  };
}

import type { AddressInfo } from "node:net";
import { SMTPServer } from "smtp-server";
import type { MailConfig } from "../../src/platform/config/config.js";

/** The service as the people know it who read its mails. */
const HOME = "https://packs.example";

/** A mail as the server took it. */
export interface ReceivedMail {
  readonly from: string;
  readonly to: readonly string[];
  /** Header fields, unfolded, by their names in lower case. */
  readonly headers: ReadonlyMap<string, string>;
  readonly text: string;
}

/** The path of a link in a mail, to where something is confirmed or unsubscribed from. */
export function linkOf({ text }: ReceivedMail, part: "confirm" | "unsubscribe"): string {
  return new URL(/https:\S+/.exec(text.slice(text.indexOf(`${HOME}/v1/mail/${part}`)))?.[0] ?? "").pathname;
}

/** A server of SMTP on this machine. */
export interface MailServer {
  /** Of a service that mails by it, at once. */
  readonly settings: MailConfig;
  readonly mails: readonly ReceivedMail[];
  /** What it answers to the next mails: nothing for taking them, or a status of RFC 5321, with an enhanced one of RFC 3463 where one is given. */
  refuse(status: number | null, enhanced?: string): void;
  /** Mails that it refused. */
  readonly refused: () => number;
  /** Does something while the next mail waits at its recipient for an answer. */
  before(next: () => Promise<unknown>): void;
  until(count: number): Promise<void>;
  close(): Promise<void>;
}

export async function startMailServer(): Promise<MailServer> {
  const mails: ReceivedMail[] = [];
  let status: number | null = null;
  let statusText = "";
  let refused = 0;
  let first: (() => Promise<unknown>) | null = null;
  let wake = () => {};
  const server = new SMTPServer({
    authOptional: true,
    closeTimeout: 1,
    disabledCommands: ["STARTTLS", "AUTH"],
    logger: false,
    // What it says of a refusal is said by each test.
    hideENHANCEDSTATUSCODES: true,
    onRcptTo({ address }, _, done) {
      const answer = () => {
        if (status === null) return done();
        refused++;
        wake();
        return done(Object.assign(new Error(`${statusText}<${address}> is not taken now`), { responseCode: status }));
      };
      const waitFor = first;
      first = null;
      if (waitFor) waitFor().then(answer, done);
      else answer();
    },
    onData(stream, session, done) {
      let raw = "";
      stream.setEncoding("utf8").on("data", (part: string) => {
        raw += part;
      });
      stream.on("end", () => {
        const { mailFrom, rcptTo } = session.envelope;
        mails.push({
          from: mailFrom ? mailFrom.address : "",
          to: rcptTo.map(({ address }) => address),
          ...partsOf(raw),
        });
        wake();
        done();
      });
    },
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.server.address() as AddressInfo;
  return {
    settings: {
      smtpUrl: new URL(`smtp://127.0.0.1:${port}`),
      from: "packs@packs.example",
      publicUrl: new URL(HOME),
      delaySeconds: 0,
    },
    mails,
    refuse(next, enhanced) {
      status = next;
      statusText = enhanced ? `${enhanced} ` : "";
    },
    before(next) {
      first = next;
    },
    refused: () => refused,
    async until(count) {
      while (mails.length < count) {
        await new Promise<void>((resolve) => {
          wake = resolve;
        });
      }
    },
    close: () => new Promise((resolve) => server.close(() => resolve())),
  };
}

/** Header and body of a message (RFC 5322, 2.1), its body decoded from quoted-printable (RFC 2045, 6.7). */
function partsOf(raw: string): Pick<ReceivedMail, "headers" | "text"> {
  const end = raw.indexOf("\r\n\r\n");
  const fields = raw
    .slice(0, end)
    .replace(/\r\n[ \t]+/g, " ")
    .split("\r\n");
  const headers = new Map(
    fields.map((field) => [field.split(":", 1)[0]?.toLowerCase() ?? "", field.replace(/^[^:]*:\s*/, "")]),
  );
  const body = raw.slice(end + 4).replaceAll("\r\n", "\n");
  const isQuoted = headers.get("content-transfer-encoding") === "quoted-printable";
  const text = isQuoted
    ? body
        .replace(/=\n/g, "")
        .replace(/=([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)))
    : body;
  return { headers, text };
}

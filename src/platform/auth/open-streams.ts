import { setTimeout as delay } from "node:timers/promises";
import { Inject, Injectable } from "@nestjs/common";
import type { Transaction } from "../database/database.js";
import { isDatabaseUnavailable } from "../database/errors.js";
import { Notifications } from "../notifications/notifications.js";
import { Problem } from "../problems/problem.js";
import { type Caller, CREDENTIAL_READER, type CredentialReader } from "./account.js";

/** How often the record is asked again while it cannot answer, ms. */
const TRY_AGAIN_MS = 500;

/** The topic of what becomes of an account's sessions and keys. */
const credentialsOf = (accountId: string): string => `credentials ${accountId}`;

/** The session or key that a stream was opened with has ended, and the stream with it. */
export class CredentialEnded extends Problem {
  constructor() {
    super("invalid-session", "The session or key that this was opened with has ended.");
  }
}

/** Tells the open streams of an account, in every process, that some of its sessions or keys have ended; with a transaction, once that is committed. */
export async function tellCredentialsEnded(tx: Transaction, accountId: string): Promise<void> {
  await tx.$executeRaw`SELECT ${Notifications.telling(credentialsOf(accountId), {})}`;
}

/** What a stream is opened with. */
export interface StreamOptions<T> {
  readonly caller: Caller | null;
  /** Signalled when the client goes away. */
  readonly left: AbortSignal;
  /** The events, until the signal ends them; null is a sign of life, which has to come now and then. */
  readonly open: (signal: AbortSignal) => AsyncGenerator<T | null, void, undefined>;
  /** Whether who asks, as they are now, may still be told: asked before each event. */
  readonly maySee?: (caller: Caller | null) => Promise<boolean>;
}

/** Holds streams to the sessions and keys that they were opened with. */
@Injectable()
export class OpenStreams {
  constructor(
    @Inject(CREDENTIAL_READER) private readonly credentials: CredentialReader,
    private readonly notifications: Notifications,
  ) {}

  /**
   * Passes events on as long as the credential stands: it is looked up before each event, with each sign of life, and when the
   * end of one is told. The stream ends quietly when its events do, or when the caller may no longer see them.
   *
   * @throws CredentialEnded when the session or key has ended
   */
  async *follow<T>({ caller, left, open, maySee }: StreamOptions<T>): AsyncGenerator<T | null, void, undefined> {
    const ending = new AbortController();
    const signal = AbortSignal.any([left, ending.signal]);
    const events = open(signal);
    let stop = () => {};
    try {
      if (caller) stop = await this.watch(caller, ending);
      for await (const event of events) {
        // The end may be told while that is asked.
        if (!(await this.stands(caller, maySee, signal))) break;
        yield event;
      }
      if (ending.signal.aborted) throw new CredentialEnded();
    } finally {
      stop();
      ending.abort();
      await events.return();
    }
  }

  /** Signals the end of a credential as soon as it is told. */
  private watch(caller: Caller, ending: AbortController): Promise<() => void> {
    return this.notifications.listen(credentialsOf(caller.id), () => {
      this.credentials.again(caller).then(
        (now) => now ?? ending.abort(),
        // Asked again before the next event.
        () => {},
      );
    });
  }

  private async stands(
    caller: Caller | null,
    maySee: StreamOptions<unknown>["maySee"],
    signal: AbortSignal,
  ): Promise<boolean> {
    while (!signal.aborted) {
      try {
        const now = caller && (await this.credentials.again(caller));
        if (caller && !now) throw new CredentialEnded();
        return (await maySee?.(now)) ?? true;
      } catch (error) {
        // Nothing is told while nobody can say whether it may be.
        if (!isDatabaseUnavailable(error)) throw error;
        await delay(TRY_AGAIN_MS);
      }
    }
    return false;
  }
}

import { setTimeout as delay } from "node:timers/promises";
import { Injectable, Logger, type OnApplicationShutdown } from "@nestjs/common";
import type { Client } from "pg";
import { Prisma } from "../../generated/prisma/client.js";
import { singleConnection } from "../database/connections/single-connection.js";
import { Database, type Transaction } from "../database/database.js";
import { LatestValue } from "./latest-value.js";

/** Takes a message; null when some may have been missed while the connection was lost. */
export type Listener = (message: unknown) => void;

const CHANNEL = "packledger";
const TRY_AGAIN_MS = 500;
/** How often whoever waits looks at the record, whatever is told, ms: when messages are heard, and when they cannot be. */
const SLOW_LOOK_MS = 5_000;
const DEAF_LOOK_MS = 1_000;

interface WatchOptions<T> {
  /** Messages after which it is worth looking; all when left out. One that was missed always is. */
  readonly isNews?: (message: unknown) => boolean;
  /** What a message says of what is waited for, so that the record need not be looked at; null where that has to be. */
  readonly toldBy?: (message: unknown) => T | null;
  /** How often to look whatever is told, ms. */
  readonly slowLookMs?: number;
}

/**
 * Short messages between all processes on one database (LISTEN and NOTIFY), each about one topic. They are told when
 * their transaction is committed, and nobody keeps them: what must not be lost is read from the record.
 */
@Injectable()
export class Notifications implements OnApplicationShutdown {
  private readonly logger = new Logger("Notifications");
  private readonly listeners = new Map<string, Set<Listener>>();
  private connection: Promise<Client> | undefined;
  private isStopped = false;

  constructor(private readonly database: Database) {}

  async publish(tx: Transaction, topic: string, message: object): Promise<void> {
    await tx.$executeRaw`SELECT ${Notifications.telling(topic, message)}`;
  }

  /** Tells this at once, in no transaction. */
  async publishNow(topic: string, message: object): Promise<void> {
    await this.database.prepared("notify", "SELECT pg_notify($1, $2)", [CHANNEL, JSON.stringify({ topic, message })]);
  }

  /** What a statement selects to tell this, so that it need not be a statement of its own. */
  static telling(topic: string, message: object): Prisma.Sql {
    return Prisma.sql`pg_notify(${CHANNEL}, ${JSON.stringify({ topic, message })})`;
  }

  /** Hears every message about a topic that is told from now on, until what it returns is called. */
  async listen(topic: string, hear: Listener): Promise<() => void> {
    const ofTopic = this.listeners.get(topic) ?? new Set();
    this.listeners.set(topic, ofTopic.add(hear));
    const stop = () => {
      ofTopic.delete(hear);
      if (ofTopic.size === 0 && this.listeners.get(topic) === ofTopic) this.listeners.delete(topic);
    };
    try {
      await this.connected();
    } catch (error) {
      stop();
      throw error;
    }
    return stop;
  }

  /**
   * Waits for something in the record: looks at once, whenever something is told about the topic, and slowly in between, since
   * a message can be lost.
   *
   * @param until when the wait ends, in ms of `performance`: a clock that is set back holds up nobody
   * @returns what was found last; it is what was waited for, unless the time is up
   */
  async watch<T>(
    topic: string,
    look: () => Promise<T>,
    isDone: (found: T) => boolean,
    until: number,
    { isNews = () => true, toldBy = () => null, slowLookMs }: WatchOptions<T> = {},
  ): Promise<T> {
    const news = new LatestValue<unknown>();
    const stop = await this.listenIfPossible(topic, (message) => {
      if (message === null || isNews(message)) news.put(message);
    });
    const pauseMs = slowLookMs ?? (stop ? SLOW_LOOK_MS : DEAF_LOOK_MS);
    try {
      for (;;) {
        const found = await look();
        const left = until - performance.now();
        if (isDone(found) || left <= 0) return found;
        const heard = await news.take(Math.min(left, pauseMs));
        const told = heard && heard.value !== null ? toldBy(heard.value) : null;
        if (told !== null && isDone(told)) return told;
      }
    } finally {
      stop?.();
    }
  }

  async onApplicationShutdown(): Promise<void> {
    this.isStopped = true;
    if (!this.connection) return;
    const [connection] = await Promise.allSettled([this.connection]);
    if (connection.status === "fulfilled") await connection.value.end();
  }

  /** Null where nothing can be heard: whoever waits then looks more often. */
  private async listenIfPossible(topic: string, hear: Listener): Promise<(() => void) | null> {
    try {
      return await this.listen(topic, hear);
    } catch (error) {
      this.logger.warn(`cannot listen: ${String(error)}`);
      return null;
    }
  }

  private connected(): Promise<Client> {
    if (!this.connection) {
      const connection = this.connect();
      this.connection = connection;
      connection.catch(() => this.forget(connection));
    }
    return this.connection;
  }

  private async connect(): Promise<Client> {
    const client = singleConnection({ connectionString: this.database.connectionString, keepAlive: true });
    client.on("notification", ({ payload = "" }) => this.hear(payload));
    await client.connect();
    await client.query(`LISTEN ${CHANNEL}`);
    client.once("end", () => void this.reconnect());
    return client;
  }

  private forget(connection: Promise<Client>): void {
    if (this.connection === connection) this.connection = undefined;
  }

  private async reconnect(): Promise<void> {
    this.connection = undefined;
    while (!this.isStopped && this.listeners.size > 0) {
      try {
        await this.connected();
        for (const hear of [...this.listeners.values()].flatMap((ofTopic) => [...ofTopic])) hear(null);
        return;
      } catch (error) {
        this.logger.warn(`cannot listen yet: ${String(error)}`);
        await delay(TRY_AGAIN_MS);
      }
    }
  }

  private hear(payload: string): void {
    const { topic, message } = JSON.parse(payload) as { topic: string; message: unknown };
    for (const hear of this.listeners.get(topic) ?? []) hear(message);
  }
}

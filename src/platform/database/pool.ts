import { Logger } from "@nestjs/common";
import { Pool, type PoolClient } from "pg";
import { isRead } from "./read-limit.js";
import { SilenceWatch } from "./silence-watch.js";
import { traceStatements } from "./trace-statements.js";

/** How long somebody waits for a connection, a free one or a new one, before the database counts as away, ms. */
const CONNECT_MS = 30_000;
/** After how long without a statement the system begins to ask whether the other side is still there, ms. */
const KEEP_ALIVE_MS = 30_000;

type Release = (failure?: Error | boolean) => void;
type Connected = (error: Error | undefined, client: PoolClient | undefined, release: Release) => void;

/**
 * Hands out connections whose statements have a time limit where they are for a public read, and none for everything
 * else. A connection is told only when that changes.
 */
class LimitingPool extends Pool {
  private readonly limits = new WeakMap<PoolClient, number>();
  private readonly silenceWatch: SilenceWatch;

  constructor(
    connectionString: string,
    connections: number,
    private readonly readMs: number,
  ) {
    super({
      connectionString,
      max: connections,
      connectionTimeoutMillis: CONNECT_MS,
      keepAlive: true,
      keepAliveInitialDelayMillis: KEEP_ALIVE_MS,
      verify: (client, done) => {
        traceStatements(client);
        void this.silenceWatch.add(client).then(() => done(), done);
      },
    });
    this.silenceWatch = new SilenceWatch(connectionString);
    this.on("remove", (client) => this.silenceWatch.remove(client));
  }

  override end(): Promise<void>;
  override end(callback: () => void): void;
  override end(callback?: () => void): Promise<void> | undefined {
    const ended = super.end().then(() => this.silenceWatch.stop());
    if (!callback) return ended;
    void ended.then(callback);
    return undefined;
  }

  override connect(): Promise<PoolClient>;
  override connect(callback: Connected): void;
  override connect(callback?: Connected): Promise<PoolClient> | undefined {
    const connected = this.connectFor(isRead() ? this.readMs : 0);
    if (!callback) return connected;
    connected.then(
      (client) => callback(undefined, client, once(client.release)),
      (error: Error) => callback(error, undefined, () => {}),
    );
    return undefined;
  }

  private async connectFor(limitMs: number): Promise<PoolClient> {
    const client = await super.connect();
    if ((this.limits.get(client) ?? 0) === limitMs) return client;
    try {
      await client.query(limitMs > 0 ? `set statement_timeout = ${limitMs}` : "reset statement_timeout");
    } catch (error) {
      client.release(true);
      throw error;
    }
    this.limits.set(client, limitMs);
    return client;
  }
}

/** The queue's library gives a connection back twice when it is lost while a worker stops; what it throws then would end the process. */
function once(release: Release): Release {
  let isReleased = false;
  return (failure) => {
    if (isReleased) return;
    isReleased = true;
    release(failure);
  };
}

/**
 * Connections to the record. One that is lost is noted and replaced at the next use; it never ends the process.
 *
 * @param readSeconds how long one statement of a public read may take; without a limit when 0
 */
export function makePool(connectionString: string, connections: number, readSeconds = 0): Pool {
  const logger = new Logger("Database");
  const lost = (error: Error) => logger.warn(`a connection was lost: ${error.message}`);
  const pool = new LimitingPool(connectionString, connections, Math.ceil(readSeconds * 1_000));
  pool.on("error", lost);
  pool.on("connect", (client) => client.on("error", lost));
  return pool;
}

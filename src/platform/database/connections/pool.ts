import { Logger } from "@nestjs/common";
import { Pool, type PoolClient, type PoolConfig } from "pg";
import { isForRead, isLimitedRead } from "../reads/read-limit.js";
import { readSource } from "../reads/read-source.js";
import { sendPooled } from "./pooled-statements.js";
import { SilenceWatch } from "./silence-watch.js";
import { traceStatements } from "./trace-statements.js";
import { IN_UTC } from "./utc.js";

/** How long somebody waits for a connection, a free one or a new one, before the database counts as away, ms. */
const CONNECT_MS = 30_000;
/** After how long without a statement the system begins to ask whether the other side is still there, ms. */
const KEEP_ALIVE_MS = 30_000;

/** The same for a replica, in whose place the primary answers, ms. */
const CONNECT_TO_REPLICA_MS = 1_000;

/** Of how many connections one is kept for reads. */
const ONE_FOR_READS_OF = 3;

type Release = (failure?: Error | boolean) => void;
type Connected = (error: Error | undefined, client: PoolClient | undefined, release: Release) => void;

interface PoolOptions {
  readonly connectionString: string;
  readonly connections: number;
  /** How long one statement of a public read may take, ms; without a limit when 0. */
  readonly readMs: number;
  readonly connectMs: number;
  /** Connections to a replica, for what is to be read there. */
  readonly replica?: Pool | null;
  /** Whether a pooler in transaction mode is on the way: nothing lasts on a connection beyond a transaction. */
  readonly isPooled?: boolean;
}

/**
 * Hands out connections in UTC whose statements have a time limit where they are for a public read, and none for everything
 * else. A connection is told only when that changes; through a pooler, each transaction is. What is to be read at the replica gets a connection to it.
 * Changes wait for each other's locks with their connections in hand; some are kept for reads, which wait for no change. Reads take those first, so that a connection seldom changes
 * its limit, and others when those are taken.
 */
export class LimitingPool extends Pool {
  private readonly limits = new WeakMap<PoolClient, number>();
  /** None of connections through a pooler, where the server's process is another one each time. */
  private readonly silenceWatch: SilenceWatch | null;
  private readonly readMs: number;
  private readonly replica: Pool | null;
  /** What is kept for reads; null of too few connections. */
  private readonly kept: Pool | null;

  constructor({ connectionString, connections, readMs, connectMs, replica = null, isPooled = false }: PoolOptions) {
    const kept = Math.floor(connections / ONE_FOR_READS_OF);
    const options: PoolConfig = {
      connectionString,
      connectionTimeoutMillis: connectMs,
      keepAlive: true,
      keepAliveInitialDelayMillis: KEEP_ALIVE_MS,
      verify: (client, done) => {
        const prepare = async () => {
          await client.query(IN_UTC);
          if (isPooled) sendPooled(client, readMs);
          traceStatements(client);
          await this.silenceWatch?.add(client);
        };
        prepare().then(() => done(), done);
      },
    };
    super({ ...options, max: connections - kept });
    this.kept = kept > 0 ? new Pool({ ...options, max: kept }) : null;
    // Through a pooler, the limit is part of what is sent.
    this.readMs = isPooled ? 0 : readMs;
    this.replica = replica;
    this.silenceWatch = isPooled ? null : new SilenceWatch(connectionString);
    // Who listens hears of all connections.
    for (const event of ["connect", "acquire", "release", "error", "remove"] as const) {
      this.kept?.on(event as "error", (...told) => this.emit(event, ...told));
    }
    this.on("remove", (client) => this.silenceWatch?.remove(client));
  }

  /** How many wait for a connection. */
  get awaited(): number {
    return this.waitingCount + (this.kept?.waitingCount ?? 0);
  }

  /** How many connections there are, and how many of them nobody uses. */
  get counted(): { readonly all: number; readonly idle: number } {
    const pools: Pool[] = this.kept ? [this, this.kept] : [this];
    const sum = (numbers: readonly number[]) => numbers.reduce((all, one) => all + one, 0);
    return { all: sum(pools.map((one) => one.totalCount)), idle: sum(pools.map((one) => one.idleCount)) };
  }

  override end(): Promise<void>;
  override end(callback: () => void): void;
  override end(callback?: () => void): Promise<void> | undefined {
    const ended = Promise.all([super.end(), this.kept?.end(), this.replica?.end()]).then(() =>
      this.silenceWatch?.stop(),
    );
    if (!callback) return ended;
    void ended.then(callback);
    return undefined;
  }

  override connect(): Promise<PoolClient>;
  override connect(callback: Connected): void;
  override connect(callback?: Connected): Promise<PoolClient> | undefined {
    const connected =
      this.replica && readSource() === "replica"
        ? this.replica.connect()
        : this.connectFor(isLimitedRead() ? this.readMs : 0);
    if (!callback) return connected;
    connected.then(
      (client) => callback(undefined, client, once(client.release)),
      (error: Error) => callback(error, undefined, () => {}),
    );
    return undefined;
  }

  private async connectFor(limitMs: number): Promise<PoolClient> {
    const client = await (this.kept && isForRead() ? this.connectToRead(this.kept, limitMs) : super.connect());
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

  /** One of those that mostly have this limit, if it is free; otherwise whichever is free, and at the worst what the next read gives back. */
  private connectToRead(kept: Pool, limitMs: number): Promise<PoolClient> {
    const [keptAreFree, othersAreFree] = [kept, this].map(
      (pool) => pool.idleCount + pool.options.max - pool.totalCount > pool.waitingCount,
    );
    return othersAreFree && (limitMs === 0 || !keptAreFree) ? super.connect() : kept.connect();
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
 * @param replica connections to a replica, which end with these
 * @param isPooled whether the address is that of a pooler in transaction mode
 */
export function makePool(
  connectionString: string,
  connections: number,
  { readSeconds = 0, replica = null, isPooled = false }: RecordPoolOptions = {},
): LimitingPool {
  const readMs = Math.ceil(readSeconds * 1_000);
  return watched(new LimitingPool({ connectionString, connections, readMs, connectMs: CONNECT_MS, replica, isPooled }));
}

interface RecordPoolOptions {
  readonly readSeconds?: number;
  readonly replica?: Pool | null;
  readonly isPooled?: boolean;
}

/** Connections to a replica of the record, for reads alone. */
export function makeReplicaPool(connectionString: string, connections: number, readSeconds: number): Pool {
  const readMs = Math.ceil(readSeconds * 1_000);
  return watched(new LimitingPool({ connectionString, connections, readMs, connectMs: CONNECT_TO_REPLICA_MS }));
}

function watched<T extends Pool>(pool: T): T {
  const logger = new Logger("Database");
  const lost = (error: Error) => logger.warn(`a connection was lost: ${error.message}`);
  pool.on("error", lost);
  pool.on("connect", (client) => client.on("error", lost));
  return pool;
}

import type { PoolClient } from "pg";
import { singleConnection } from "./single-connection.js";

/** How often it is looked, and after how long without a byte the database is asked, ms. */
const LOOK_MS = 5_000;
const SILENT_MS = 15_000;
/** How long that question may take, ms. */
const PATIENCE_MS = 5_000;

/**
 * What every connection says first: its process in the database, and that the server ends it when this machine does not answer for
 * a minute, so that its locks are not held for hours by nobody.
 */
const INTRODUCE = `select pg_backend_pid() as pid, set_config('tcp_keepalives_idle', '30', false),
  set_config('tcp_keepalives_interval', '10', false), set_config('tcp_keepalives_count', '3', false)`;

/** What of the driver's client is looked at. */
interface Wire {
  /** No statement is being done. */
  readonly readyForQuery: boolean;
  readonly connection: { readonly stream: { readonly bytesRead: number; destroy(error: Error): void } };
}

interface Watched {
  readonly wire: Wire;
  readonly pid: number | null;
  bytesRead: number;
  /** When it was last heard, or seen without a statement; ms of `performance`. */
  heardAt: number;
  /** The database was asked, and does nothing for it. */
  isSuspect: boolean;
}

interface Waits {
  readonly lookMs?: number;
  readonly silentMs?: number;
  readonly patienceMs?: number;
}

/**
 * Ends connections whose way to the database is gone without a word: a machine on it lost its power, or forgot them. The system itself
 * would wait a quarter of an hour for an answer. The database is asked, over a new connection, whether it still works for those that have waited long; one that
 * it does is left alone, however long that takes.
 */
export class SilenceWatch {
  private readonly watched = new Map<PoolClient, Watched>();
  private readonly timer: NodeJS.Timeout;
  private readonly silentMs: number;
  private readonly patienceMs: number;
  private looking: Promise<void> | undefined;

  constructor(
    private readonly connectionString: string,
    { lookMs = LOOK_MS, silentMs = SILENT_MS, patienceMs = PATIENCE_MS }: Waits = {},
  ) {
    this.silentMs = silentMs;
    this.patienceMs = patienceMs;
    this.timer = setInterval(() => {
      this.looking ??= this.look().finally(() => {
        this.looking = undefined;
      });
    }, lookMs);
    this.timer.unref();
  }

  /** Takes up a new connection, before anybody uses it. */
  async add(client: PoolClient): Promise<void> {
    const { rows } = await client.query<{ pid: number }>(INTRODUCE);
    const wire = client as unknown as Wire;
    const pid = rows[0]?.pid ?? null;
    this.watched.set(client, { wire, pid, bytesRead: 0, heardAt: performance.now(), isSuspect: false });
  }

  remove(client: PoolClient): void {
    this.watched.delete(client);
  }

  async stop(): Promise<void> {
    clearInterval(this.timer);
    await this.looking;
  }

  private async look(): Promise<void> {
    const now = performance.now();
    for (const one of this.watched.values()) {
      const { bytesRead } = one.wire.connection.stream;
      if (bytesRead === one.bytesRead && !one.wire.readyForQuery) continue;
      Object.assign(one, { bytesRead, heardAt: now, isSuspect: false });
    }
    const silent = [...this.watched.values()].filter(({ heardAt }) => now - heardAt >= this.silentMs);
    if (silent.length === 0) return;
    const working = await this.workingFor(silent.flatMap(({ pid }) => pid ?? []));
    for (const one of silent) {
      const isLost = working !== null && !(one.pid !== null && working.has(one.pid));
      // An answer may have been on its way while the database was asked, and this process may have been too busy to hear: twice is enough.
      if (isLost && one.isSuspect && isStill(one)) one.wire.connection.stream.destroy(noAnswer());
      one.isSuspect = isLost;
    }
  }

  /** The processes that do a statement; none when nobody answers, null when that says nothing. */
  private async workingFor(pids: readonly number[]): Promise<ReadonlySet<number> | null> {
    const limits = { connectionTimeoutMillis: this.patienceMs, query_timeout: this.patienceMs };
    const client = singleConnection({ connectionString: this.connectionString, ...limits });
    try {
      await client.connect();
      const { rows } = await client.query<{ pid: number }>(
        "select pid from pg_stat_activity where pid = any($1::int[]) and state in ('active', 'fastpath function call')",
        [pids],
      );
      return new Set(rows.map(({ pid }) => pid));
    } catch (error) {
      // A database that refuses answers: it is there, and may still be at work.
      return "severity" in (error as object) ? null : new Set();
    } finally {
      await client.end().catch(() => undefined);
    }
  }
}

const isStill = ({ wire, bytesRead }: Watched) => !wire.readyForQuery && wire.connection.stream.bytesRead === bytesRead;
const noAnswer = () => new Error("Connection terminated unexpectedly: no answer came");

import { setTimeout as delay } from "node:timers/promises";
import type { Client } from "pg";
import { ADVISORY_LOCKS } from "../../src/platform/database/advisory-locks.js";

const EVERY_MS = 20;
const SHOWN = 6;

const ACTIVITY = `select coalesce(wait_event_type || ' ' || wait_event, 'works') as wait, count(*)::int as connections
  from pg_stat_activity where state <> 'idle' and backend_type = 'client backend' and pid <> pg_backend_pid() group by 1`;
/** A lock of one number stands there as its halves (PostgreSQL: "pg_locks"). */
const LOCKS = `select (classid::bigint << 32) + objid::bigint as number, granted, count(*)::int as connections
  from pg_locks where locktype = 'advisory' and objsubid = 1 group by 1, 2`;

/** What connections to a database do and wait for, by looking often. */
export class Waits {
  private readonly connections = new Map<string, number>();
  private readonly held = new Map<string, number>();
  private readonly awaited = new Map<string, number>();
  private looks = 0;

  constructor(private readonly client: Client) {}

  async sample(end: AbortSignal): Promise<void> {
    while (!end.aborted) {
      for (const { wait, connections } of (await this.client.query(ACTIVITY)).rows) {
        add(this.connections, wait, connections);
      }
      const { rows } = await this.client.query<{ number: string; granted: boolean; connections: number }>(LOCKS);
      for (const { number, granted, connections } of rows) {
        const name = NAMES.get(Number(number));
        if (name) add(granted ? this.held : this.awaited, name, connections);
      }
      this.looks++;
      await delay(EVERY_MS);
    }
  }

  /** @param runs evaluated a second meanwhile */
  inWords(runs: number): string {
    const share = (all: ReadonlyMap<string, number>, name: string) => (all.get(name) ?? 0) / this.looks;
    const most = [...this.connections].sort(([, a], [, b]) => b - a).slice(0, SHOWN);
    const waits = most.map(([wait]) => `${share(this.connections, wait).toFixed(2)} ${wait}`).join(", ");
    const locks = [...this.held.keys()].map((name) => {
      const held = share(this.held, name);
      const perRun = `${((1_000 * held) / runs).toFixed(0)} ms a run`;
      return `  lock ${name}: held ${(100 * held).toFixed(0)} % of the time, ${perRun}, awaited by ${share(this.awaited, name).toFixed(2)}`;
    });
    return [`connections      ${waits}`, ...locks].join("\n");
  }
}

const NAMES = new Map<number, string>(Object.entries(ADVISORY_LOCKS).map(([name, number]) => [number, name]));

function add(to: Map<string, number>, name: string, count: number): void {
  to.set(name, (to.get(name) ?? 0) + count);
}

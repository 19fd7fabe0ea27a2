import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";

/** Between two looks whether somebody waits, ms. */
const LOOK_MS = 50;

/** A transaction that is left open so that whoever comes to the same place waits: a process can be killed at that very place of its work. */
export class Hold {
  private constructor(private readonly client: Client) {}

  /**
   * @param connectionString of the database's superuser
   * @param statement what holds the place; no foreign key of it is looked at, so that it locks nothing else
   */
  static async by(connectionString: string, statement: string): Promise<Hold> {
    const client = new Client({ connectionString });
    // A trial that fails ends its database first.
    client.on("error", () => undefined);
    await client.connect();
    await client.query("SET session_replication_role = replica");
    await client.query("BEGIN");
    await client.query(statement);
    return new Hold(client);
  }

  /** Resolves when another connection waits for this one. */
  async untilAwaited(): Promise<void> {
    for (;;) {
      // Not of pg_stat_activity: a transaction sees for ever what it has read there once (PostgreSQL: stats_fetch_consistency).
      const { rowCount } = await this.client.query(
        "SELECT FROM pg_locks WHERE NOT granted AND pg_backend_pid() = ANY (pg_blocking_pids(pid))",
      );
      if (rowCount) return;
      await delay(LOOK_MS);
    }
  }

  /** Lets all go on that wait, as if it had never been. */
  async letGo(): Promise<void> {
    await this.client.end();
  }
}

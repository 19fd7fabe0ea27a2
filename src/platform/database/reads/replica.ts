import { setTimeout as delay } from "node:timers/promises";
import { Logger } from "@nestjs/common";
import type { Pool } from "pg";
import { SharedRead } from "./shared-read.js";

/** How long a read waits for the replica to have all that the primary had when it was asked, and how often it looks, ms. */
const CATCH_UP_MS = 50;
const LOOK_MS = 2;
/** How long the primary answers alone once the replica was away, or behind for longer than a read waits, ms. */
const PAUSE_MS = 500;
/** How long the replica may take to say where it is, ms. */
const ANSWER_MS = 100;

/**
 * What is committed, seen by anybody and in order is at or before this position of the write-ahead log: a commit is shown once it is flushed, or, where
 * nobody waits for that, inserted. The timeline tells the histories apart that part when another server takes over (PostgreSQL: "Timelines").
 */
const PRIMARY = `SELECT (CASE current_setting('synchronous_commit')
    WHEN 'off' THEN pg_current_wal_insert_lsn() ELSE pg_current_wal_flush_lsn() END - '0/0'::pg_lsn)::text AS position,
  ('x' || left(pg_walfile_name(pg_current_wal_flush_lsn()), 8))::bit(32)::int AS timeline,
  (SELECT system_identifier::text FROM pg_control_system()) AS system`;
const REPLICA = `SELECT (pg_last_wal_replay_lsn() - '0/0'::pg_lsn)::text AS position,
  (SELECT timeline_id FROM pg_control_checkpoint()) AS timeline,
  (SELECT system_identifier::text FROM pg_control_system()) AS system`;

interface Place {
  /** Byte of the write-ahead log; null where nothing is replayed, since the server follows nobody. */
  readonly position: string | null;
  readonly timeline: number;
  /** Names the record's files, which a streaming copy has from its primary. */
  readonly system: string;
}

/** A streaming replica of the record, and whether it may answer a read. */
export class Replica {
  private readonly logger = new Logger("Replica");
  private readonly present = new SharedRead(() => this.catchesUp());
  private pausedUntil = 0;
  private trouble: string | null = null;
  /** How often a connection was lost. A replica that starts again may show, for a while, less than it had shown before. */
  losses = 0;

  constructor(
    private readonly primary: Pool,
    private readonly pool: Pool,
  ) {
    pool.on("error", () => this.losses++);
  }

  /**
   * Whether the replica has everything now that the primary had shown to anybody when this was called. What is read there afterwards is as current as if it
   * were read at the primary: whoever wrote sees it, whoever was shown a state is shown none before it, by whichever service.
   */
  async isCurrent(): Promise<boolean> {
    return performance.now() >= this.pausedUntil && this.present.get();
  }

  /** Takes note that a read failed at the replica. */
  failed(error: unknown): void {
    this.pause(`a read failed: ${(error as Error).message}`);
  }

  private async catchesUp(): Promise<boolean> {
    if (performance.now() < this.pausedUntil) return false;
    const trouble = await this.troubleNow().catch((error: Error) => error.message || "no answer");
    if (trouble === null) this.resume();
    else this.pause(trouble);
    return trouble === null;
  }

  private async troubleNow(): Promise<string | null> {
    const [wanted, first] = await Promise.all([this.primaryPlace(), this.replicaPlace()]);
    if (first.system !== wanted.system) return "it is no copy of this record";
    if (first.timeline !== wanted.timeline) return "it follows another timeline";
    const until = performance.now() + CATCH_UP_MS;
    for (let { position } = first; ; { position } = await this.replicaPlace()) {
      if (position === null) return "it follows nobody";
      const missing = BigInt(wanted.position ?? 0) - BigInt(position);
      if (missing <= 0n) return null;
      if (performance.now() >= until) return `it is ${missing} bytes of the write-ahead log behind`;
      await delay(LOOK_MS);
    }
  }

  private async primaryPlace(): Promise<Place> {
    const { rows } = await this.primary.query<Place>({ name: "primary-place", text: PRIMARY });
    return rows[0] as Place;
  }

  /** @throws Error when no answer comes soon */
  private async replicaPlace(): Promise<Place> {
    const given = new AbortController();
    const late = delay(ANSWER_MS, null, { signal: given.signal }).then(() => {
      throw new Error(`it has not answered for ${ANSWER_MS} ms`);
    });
    const asked = this.pool.query<Place>({ name: "replica-place", text: REPLICA });
    try {
      const { rows } = await Promise.race([asked, late]);
      return rows[0] as Place;
    } finally {
      given.abort();
      for (const left of [asked, late]) left.catch(() => undefined);
    }
  }

  private pause(trouble: string): void {
    this.pausedUntil = performance.now() + PAUSE_MS;
    if (this.trouble === null) this.logger.warn(`is left alone, the primary answers in its place: ${trouble}`);
    this.trouble = trouble;
  }

  private resume(): void {
    if (this.trouble !== null) this.logger.log("answers reads again");
    this.trouble = null;
  }
}

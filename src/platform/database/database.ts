import { randomInt } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import type { OnApplicationShutdown } from "@nestjs/common";
import { PrismaPg } from "@prisma/adapter-pg";
import type { Pool, QueryResultRow } from "pg";
import { type Prisma, PrismaClient } from "../../generated/prisma/client.js";
import { type LimitingPool, makePool, makeReplicaPool } from "./connections/pool.js";
import { statementNames } from "./connections/statement-names.js";
import { isConflict } from "./errors.js";
import { Replica } from "./reads/replica.js";

/** What a repository is given to work on: the database itself or an open transaction. */
export type Transaction = Prisma.TransactionClient;

/** Tries at a transaction that the database ends because of others beside it. */
const MAX_TRIES = 4;
/** Longest pause before another try, ms: a random one, so that two who were in each other's way do not meet again. */
const MAX_PAUSE_MS = 50;

type Begin = PrismaClient["$transaction"];

export interface DatabaseOptions {
  /** How long one statement of a public read may take; without a limit when 0. */
  readonly readSeconds?: number;
  readonly replicaUrl?: string | null;
  /** A pooler in transaction mode in front of the server. */
  readonly poolerUrl?: string | null;
}

/** The record. It connects at the first use. */
export class Database extends PrismaClient implements OnApplicationShutdown {
  /** For what Prisma has no words for: the queue, streams, bulk writes. */
  readonly pool: LimitingPool;
  /** What public reads may be answered by in place of the record itself. */
  readonly replica: Replica | null;

  /** The same for what needs a session of the server's own, as the queue does, which listens: past a pooler, where there is one. */
  readonly sessions: Pool;

  /** @param connectionString the server itself, past any pooler */
  constructor(
    readonly connectionString: string,
    connections: number,
    { readSeconds = 0, replicaUrl = null, poolerUrl = null }: DatabaseOptions = {},
  ) {
    const replica = replicaUrl === null ? null : makeReplicaPool(replicaUrl, connections, readSeconds);
    const isPooled = poolerUrl !== null;
    const pool = makePool(poolerUrl ?? connectionString, connections, { readSeconds, replica, isPooled });
    super({
      adapter: new PrismaPg(pool, isPooled ? {} : { statementNameGenerator: statementNames() }),
      transactionOptions: { maxWait: 10_000, timeout: 30_000 },
      // Nobody reads a password hash who does not ask for it by name; the accounts' own repository alone does.
      omit: { account: { passwordHash: true } },
    });
    this.pool = pool;
    this.sessions = isPooled ? makePool(connectionString, connections) : pool;
    this.replica = replica && new Replica(pool, replica);
  }

  /** The rows of a statement that a connection prepares once, under its name, where no pooler is on the way: for what is read again and again. */
  async prepared<Row extends QueryResultRow>(name: string, text: string, values: readonly unknown[]): Promise<Row[]> {
    const { rows } = await this.pool.query<Row>({ name, text, values: [...values] });
    return rows;
  }

  /**
   * Does work in a transaction, and again in another one when the database ended it as the victim of a deadlock. The work has no effect but on the
   * database and may be done twice. Everyone locks in one order (DEVELOPERS.md): this is for where the database itself takes locks in another.
   */
  override $transaction: Begin = (async (work: Parameters<Begin>[0], options?: object): Promise<unknown> => {
    for (let tries = 1; ; tries++) {
      try {
        return await super.$transaction(work, options);
      } catch (error) {
        if (tries === MAX_TRIES || !isConflict(error)) throw error;
        await delay(randomInt(MAX_PAUSE_MS));
      }
    }
  }) as Begin;

  async onApplicationShutdown(): Promise<void> {
    await this.$disconnect();
    await Promise.all([...new Set([this.pool, this.sessions])].map((pool) => pool.end()));
  }
}

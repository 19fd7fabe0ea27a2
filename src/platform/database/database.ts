import { type OnApplicationShutdown } from "@nestjs/common";
import { PrismaPg } from "@prisma/adapter-pg";
import type { Pool, QueryResultRow } from "pg";
import { type Prisma, PrismaClient } from "../../generated/prisma/client.js";
import { makePool } from "./pool.js";

/** What a repository is given to work on: the database itself or an open transaction. */
export type Transaction = Prisma.TransactionClient;

/** The record. It connects at the first use. */
export class Database extends PrismaClient implements OnApplicationShutdown {
  /** For what Prisma has no words for: the queue, streams, bulk writes. */
  readonly pool: Pool;

  constructor(
    readonly connectionString: string,
    connections: number,
    readSeconds = 0,
  ) {
    const pool = makePool(connectionString, connections, readSeconds);
    super({
      adapter: new PrismaPg(pool),
      transactionOptions: { maxWait: 10_000, timeout: 30_000 },
      // Nobody reads a password hash who does not ask for it by name; the accounts' own repository alone does.
      omit: { account: { passwordHash: true } },
    });
    this.pool = pool;
  }

  /** The rows of a statement that a connection prepares once, under its name: for what is read again and again. */
  async prepared<Row extends QueryResultRow>(name: string, text: string, values: readonly unknown[]): Promise<Row[]> {
    const { rows } = await this.pool.query<Row>({ name, text, values: [...values] });
    return rows;
  }

  async onApplicationShutdown(): Promise<void> {
    await this.$disconnect();
    await this.pool.end();
  }
}

import { PrismaPg } from "@prisma/adapter-pg";
import {
  ColumnTypeEnum,
  type SqlDriverAdapter,
  type SqlMigrationAwareDriverAdapterFactory,
} from "@prisma/driver-adapter-utils";
import { Pool, type QueryResult, types } from "pg";

/** PostgreSQL's internal one-byte type: its catalogue uses it, the engine expects it, Prisma's adapter does not know it. */
const internalCharType = 18;
const charMark = "\0char";

/** Hands columns of the internal one-byte type to the adapter as text, marked by their name. */
class CataloguePool extends Pool {
  override query = async (query: unknown): Promise<never> => {
    // The adapter calls the one form that takes a query object and returns a promise.
    const ask = Pool.prototype.query as unknown as (this: Pool, query: unknown) => Promise<QueryResult>;
    const result = await ask.call(this, query);
    for (const field of result.fields ?? []) {
      if (field.dataTypeID === internalCharType) {
        field.dataTypeID = types.builtins.TEXT;
        field.name += charMark;
      }
    }
    return result as never;
  };
}

function restoreCharColumns(adapter: SqlDriverAdapter): void {
  const queryRaw = adapter.queryRaw.bind(adapter);
  adapter.queryRaw = async (query) => {
    const result = await queryRaw(query);
    const isChar = result.columnNames.map((name) => name.endsWith(charMark));
    return {
      ...result,
      columnNames: result.columnNames.map((name) => name.replace(charMark, "")),
      columnTypes: result.columnTypes.map((type, index) => (isChar[index] ? ColumnTypeEnum.Character : type)),
    };
  };
}

async function adapt(pool: CataloguePool): Promise<SqlDriverAdapter> {
  const adapter = await new PrismaPg(pool).connect();
  restoreCharColumns(adapter);
  // Whole, as PostgreSQL takes it in one transaction: the adapter itself would cut a function's body at its semicolons.
  adapter.executeScript = async (script) => {
    await pool.query(script);
  };
  return adapter;
}

export interface EngineAdapterOptions {
  /** Only a throwaway database may be its own shadow, into which the engine plays all migrations to see what they give. */
  readonly isThrowaway: boolean;
}

/** Runs `work` with the schema engine's way to a database, and closes every connection that was made on it. */
export async function withEngineAdapter<T>(
  connectionString: string,
  { isThrowaway }: EngineAdapterOptions,
  work: (factory: SqlMigrationAwareDriverAdapterFactory) => Promise<T>,
): Promise<T> {
  const pool = new CataloguePool({ connectionString });
  try {
    return await work({
      provider: "postgres",
      adapterName: "@prisma/adapter-pg",
      connect: () => adapt(pool),
      connectToShadowDb: async () => {
        if (!isThrowaway) throw new Error("The record's own database is never a shadow database");
        return adapt(pool);
      },
    });
  } finally {
    await pool.end();
  }
}

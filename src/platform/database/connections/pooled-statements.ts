import type { PoolClient } from "pg";
import { isLimitedRead } from "../reads/read-limit.js";

type Send = (...parts: unknown[]) => Promise<unknown>;
type Told = (error: Error | null, result?: unknown) => void;

const BEGINS = /^\s*begin\b/i;
const ENDS = /^\s*(commit|rollback)\s*;?\s*$/i;

/**
 * Makes a connection send what a pooler in transaction mode can take: each transaction may be done by another connection of the server, so no
 * statement has a name, and nothing is set for longer than a transaction. The time limit of public reads is set in each of theirs; one statement alone
 * becomes a transaction for that.
 *
 * @param readMs how long one statement of a public read may take; without a limit when 0
 */
export function sendPooled(client: PoolClient, readMs: number): void {
  const send = client.query.bind(client) as Send;
  const limit = `set local statement_timeout = ${readMs}`;
  let isOpen = false;

  async function perform(statement: unknown, rest: readonly unknown[]): Promise<unknown> {
    const text = textOf(statement);
    const isLimited = readMs > 0 && isLimitedRead();
    if (BEGINS.test(text)) {
      const begun = await send(statement, ...rest);
      isOpen = true;
      if (isLimited) await send(limit);
      return begun;
    }
    if (ENDS.test(text)) isOpen = false;
    if (isOpen || !isLimited || ENDS.test(text)) return send(statement, ...rest);
    await send(`begin; ${limit}`);
    try {
      const result = await send(statement, ...rest);
      await send("commit");
      return result;
    } catch (error) {
      // Where the connection is lost, so is the transaction.
      await send("rollback").catch(() => undefined);
      throw error;
    }
  }

  client.query = ((statement: unknown, ...parts: unknown[]) => {
    if (typeof statement === "object" && statement !== null && "submit" in statement) return send(statement, ...parts);
    const tell = typeof parts.at(-1) === "function" ? (parts.pop() as Told) : null;
    const done = perform(unnamed(statement), parts);
    if (!tell) return done;
    done.then(
      (result) => tell(null, result),
      (error: Error) => tell(error),
    );
    return undefined;
  }) as typeof client.query;
}

function unnamed(statement: unknown): unknown {
  return typeof statement === "object" && statement !== null && "name" in statement
    ? { ...statement, name: undefined }
    : statement;
}

function textOf(statement: unknown): string {
  if (typeof statement === "string") return statement;
  return String((statement as { text?: unknown } | null)?.text ?? "");
}

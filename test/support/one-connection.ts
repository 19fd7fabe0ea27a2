import { AsyncLocalStorage } from "node:async_hooks";
import type { Database } from "../../src/platform/database/database.js";

type Work = (tx: unknown) => Promise<unknown>;

/**
 * Watches that nothing asks for a second connection inside a transaction: as many of these at once as there are connections
 * would each hold one and wait for another, and nobody would be served until they gave up.
 *
 * @returns where that happened, by the lines of the service that asked
 */
export function watchConnections(database: Database): ReadonlySet<string> {
  const inside = new AsyncLocalStorage<{ isOpen: boolean; readonly begun: string }>();
  const found = new Set<string>();
  const note = () => {
    const state = inside.getStore();
    if (state?.isOpen) found.add(`${linesOfNow()} in a transaction of ${state.begun}`);
  };
  const begin = database.$transaction.bind(database) as (work: unknown, options?: object) => Promise<unknown>;
  const watched = (work: Work | unknown[], options?: object) => {
    const begun = linesOfNow();
    // A test may hold a transaction open to see who waits for it.
    if (typeof work !== "function" || isOfATest(begun)) return begin(work, options);
    const state = { isOpen: true, begun };
    const ends = () => {
      state.isOpen = false;
    };
    return begin((tx: unknown) => inside.run(state, () => work(tx).finally(ends)), options);
  };
  database.$transaction = watched as typeof database.$transaction;
  const { pool } = database;
  const connect = pool.connect;
  pool.connect = ((...args: Parameters<typeof connect>) => {
    note();
    return connect.apply(pool, args);
  }) as typeof connect;
  return found;
}

const BETWEEN_LINES = " < ";
const OF_A_TEST = /\.test\.ts|\/test\//;

function isOfATest(lines: string): boolean {
  return OF_A_TEST.test(lines.split(BETWEEN_LINES, 1)[0] ?? "");
}

/** Lines of a stack that are kept: those of libraries between them are many. */
const STACK_LINES = 60;

function linesOfNow(): string {
  const limit = Error.stackTraceLimit;
  Error.stackTraceLimit = STACK_LINES;
  const { stack = "" } = new Error("here");
  Error.stackTraceLimit = limit;
  return stack
    .split("\n")
    .filter((line) => /\/(dist|src)\//.test(line) && !/node_modules|\/generated\//.test(line))
    .slice(0, 4)
    .map((line) => line.trim())
    .join(BETWEEN_LINES);
}

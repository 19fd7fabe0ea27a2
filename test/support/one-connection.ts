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
  const inside = new AsyncLocalStorage<{ isOpen: boolean; readonly begun: Error }>();
  const found = new Set<string>();
  const note = () => {
    const state = inside.getStore();
    if (state?.isOpen) found.add(`${linesOf(stackOfNow())} in a transaction of ${linesOf(state.begun)}`);
  };
  const begin = database.$transaction.bind(database) as (work: unknown, options?: object) => Promise<unknown>;
  const watched = (work: Work | unknown[], options?: object) => {
    // A test may hold a transaction open to see who waits for it.
    if (typeof work !== "function" || isTestAsking()) return begin(work, options);
    const state = { isOpen: true, begun: stackOfNow() };
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

const OF_A_TEST = /\.test\.ts|\/test\//;

/** Whether a file is the project's own, and not made. */
const isOurs = (file: string) => /\/(dist|src)\//.test(file) && !/node_modules|\/generated\//.test(file);

/** Lines of a stack that are kept: those of libraries between them are many. */
const STACK_LINES = 60;

/** Where this is called from. Its text is made when it is first read, since every line of it is sought in a source map. */
function stackOfNow(): Error {
  const limit = Error.stackTraceLimit;
  Error.stackTraceLimit = STACK_LINES;
  const stack = new Error("here");
  Error.stackTraceLimit = limit;
  return stack;
}

/** Whether the nearest caller of the project's own is a test, by the files alone. */
function isTestAsking(): boolean {
  const write = Error.prepareStackTrace;
  Error.prepareStackTrace = (_, sites) => sites;
  const sites = stackOfNow().stack as unknown as readonly NodeJS.CallSite[];
  Error.prepareStackTrace = write;
  const files = sites.map((site) => site.getFileName() ?? "");
  return OF_A_TEST.test(files.find((file) => isOurs(file)) ?? "");
}

function linesOf({ stack = "" }: Error): string {
  return stack
    .split("\n")
    .filter((line) => isOurs(line))
    .slice(0, 4)
    .map((line) => line.trim())
    .join(" < ");
}

import { Prisma } from "../../generated/prisma/client.js";
import type { Transaction } from "../database/database.js";
import { tracer } from "../tracing/tracer.js";
import type { Lane } from "./lanes.js";

/** Tries at a job; the pauses between them grow from seconds to minutes, about four minutes together. */
export const MAX_ATTEMPTS = 6;

/** The last turn; more runs of one tester than this share it. Turns and what follows them are small integers in the queue. */
export const LAST_TURN = 30_000;

/** When a job is taken: the queue takes low numbers first. */
export interface JobOrder {
  /** 0 to `LAST_TURN`; a job with a lower turn comes first, within a turn the one that was queued first. */
  readonly turn: number;
  /** Which of the worker's places it may take; any when null. */
  readonly lane: Lane | null;
  /** How long it waits at least, s. */
  readonly afterSeconds?: number;
}

/** The turns of what follows an upload or a decision, and of what nobody waits for. Where they wait long they get another (`WorkerLease`). */
export const FOLLOWING_TURN = LAST_TURN + 1;
export const NOBODYS_TURN = LAST_TURN + 2;

/** What somebody waits for before what can be done once nobody does. */
const ORDERS = {
  awaited: { turn: 0, lane: null },
  "follow-up": { turn: FOLLOWING_TURN, lane: "background" },
  background: { turn: NOBODYS_TURN, lane: "background" },
  // A little more: by then the day of a refused log has passed.
  "after a day": { turn: NOBODYS_TURN, lane: "background", afterSeconds: 86_460 },
} as const satisfies Record<string, JobOrder>;
export type Priority = keyof typeof ORDERS | JobOrder;

/**
 * Queues a job inside a transaction: it exists when the transaction's rows do, and not otherwise. A job of the same
 * key that still waits is replaced.
 */
export async function addJob(
  tx: Transaction,
  task: string,
  payload: object,
  key: string,
  priority: Priority = "awaited",
): Promise<void> {
  await addJobs(tx, task, [{ payload, key }], priority);
}

/** Queues several jobs for one task at once, each as `addJob` does; by key, so that two who queue the same ones never wait for each other. */
export async function addJobs(
  tx: Transaction,
  task: string,
  jobs: readonly { readonly payload: object; readonly key: string }[],
  priority: Priority = "awaited",
): Promise<void> {
  if (jobs.length === 0) return;
  const ordered = jobs
    .toSorted((a, b) => (a.key < b.key ? -1 : 1))
    .map(({ key, payload }) => ({ key, payload: traced(payload) }));
  const { turn, lane, afterSeconds = 0 }: JobOrder = typeof priority === "string" ? ORDERS[priority] : priority;
  const call = callOf(task, {
    payload: Prisma.sql`job -> 'payload'`,
    key: Prisma.sql`job ->> 'key'`,
    turn: Prisma.sql`${turn}::int`,
    lane: Prisma.sql`${lane}::text`,
    afterSeconds,
  });
  await tx.$executeRaw`SELECT ${call} FROM json_array_elements(${JSON.stringify(ordered)}::json) AS job`;
}

/** What a statement selects to queue a job, as `addJob` does, whose turn (an integer) and lane (a text or null) it finds itself. */
export function addingJob(
  task: string,
  payload: object,
  key: string,
  order: { readonly turn: Prisma.Sql; readonly lane: Prisma.Sql },
): Prisma.Sql {
  const text = JSON.stringify(traced(payload));
  return callOf(task, { payload: Prisma.sql`${text}::json`, key: Prisma.sql`${key}::text`, ...order, afterSeconds: 0 });
}

/** The same at a turn and a lane that are known. */
export function addingJobAt(task: string, payload: object, key: string, priority: Priority): Prisma.Sql {
  const { turn, lane, afterSeconds = 0 }: JobOrder = typeof priority === "string" ? ORDERS[priority] : priority;
  return callOf(task, {
    payload: Prisma.sql`${JSON.stringify(traced(payload))}::json`,
    key: Prisma.sql`${key}::text`,
    turn: Prisma.sql`${turn}::int`,
    lane: Prisma.sql`${lane}::text`,
    afterSeconds,
  });
}

interface CallParts extends Record<"payload" | "key" | "turn" | "lane", Prisma.Sql> {
  readonly afterSeconds: number;
}

const callOf = (task: string, { payload, key, turn, lane, afterSeconds }: CallParts): Prisma.Sql => Prisma.sql`
  graphile_worker.add_job(${task}::text, ${payload}, job_key => ${key}, max_attempts => ${MAX_ATTEMPTS}::int, priority => ${turn},
    run_at => now() + make_interval(secs => ${afterSeconds}::float8), flags => array_remove(array[${lane}], null))`;

/** With the trace of who queues it, where that is known. */
function traced(payload: object): object {
  const traceparent = tracer()?.traceparent;
  return traceparent ? { ...payload, traceparent } : payload;
}

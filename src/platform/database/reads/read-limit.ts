import { AsyncLocalStorage } from "node:async_hooks";

/** What is asked of the database on behalf of one request. */
interface Reading {
  isLimited: boolean;
  isRead: boolean;
}

const readings = new AsyncLocalStorage<Reading>();

/** Does something, and all that follows from it, as a public read: each of its statements has a time limit. */
export function asRead<T>(work: () => T): T {
  return readings.run({ isLimited: true, isRead: true }, work);
}

/** Does something that a read needs and that serves all who come after it: its statements have no time limit. */
export function asPreparation<T>(work: () => T): T {
  return readings.run({ isLimited: false, isRead: true }, work);
}

/** For what began as a read and turns out to be a change, which is carried to its end. */
export function noRead(): void {
  const reading = readings.getStore();
  if (reading) reading.isLimited = reading.isRead = false;
}

/** Whether what is asked now is asked for a public read, and has a time limit. */
export function isLimitedRead(): boolean {
  return readings.getStore()?.isLimited ?? false;
}

/** Whether what is asked now is asked for a public read, or for what one needs. */
export function isForRead(): boolean {
  return readings.getStore()?.isRead ?? false;
}

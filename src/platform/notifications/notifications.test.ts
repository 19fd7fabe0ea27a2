import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { cloneDatabase } from "../../../test/support/database.js";
import { Database } from "../database/database.js";
import { Notifications } from "./notifications.js";

const NEVER_MS = 3_600_000;
const NEVER = { slowLookMs: NEVER_MS };

let clone: Awaited<ReturnType<typeof cloneDatabase>>;
let database: Database;
let notifications: Notifications;
beforeAll(async () => {
  clone = await cloneDatabase();
  database = new Database(clone.connectionString, 2);
  notifications = new Notifications(database);
});
afterAll(async () => {
  await notifications.onApplicationShutdown();
  await database.onApplicationShutdown();
  await clone.drop();
});

/** Something in the record, and what is to happen after each look at it. */
function record(...afterLook: (() => Promise<void> | void)[]) {
  const state = { isDone: false, looks: 0 };
  const look = async () => {
    const { isDone } = state;
    const next = afterLook[state.looks++];
    await next?.();
    return isDone;
  };
  return { state, look };
}

const isTrue = (value: boolean) => value;
const later = (ms: number) => performance.now() + ms;

describe("who waits for something in the record", () => {
  it("looks once when it is there already", async () => {
    const { state, look } = record();
    state.isDone = true;
    expect(await notifications.watch("there", look, isTrue, later(NEVER_MS), NEVER)).toBe(true);
    expect(state.looks).toBe(1);
  });

  it("looks again when it is told, and not before", async () => {
    const { state, look } = record(async () => {
      state.isDone = true;
      await notifications.publish(database, "another topic", {});
      await notifications.publish(database, "told", {});
    });
    expect(await notifications.watch("told", look, isTrue, later(NEVER_MS), NEVER)).toBe(true);
    expect(state.looks).toBe(2);
  });

  it("does not look for what is not news to it", async () => {
    const { state, look } = record(async () => {
      state.isDone = true;
      await notifications.publish(database, "sorted", { isNews: false });
      await notifications.publish(database, "sorted", { isNews: true });
    });
    const isNews = (message: unknown) => (message as { isNews: boolean }).isNews;
    expect(await notifications.watch("sorted", look, isTrue, later(NEVER_MS), { ...NEVER, isNews })).toBe(true);
    expect(state.looks).toBe(2);
  });

  it("misses nothing that is told while it looks", async () => {
    // The record changes after what is read of it, and the message comes before the look has ended.
    const heard = new Promise<void>((resolve) => void notifications.listen("meanwhile", () => resolve()));
    const { state, look } = record(async () => {
      state.isDone = true;
      await notifications.publish(database, "meanwhile", {});
      await heard;
    });
    expect(await notifications.watch("meanwhile", look, isTrue, later(NEVER_MS), NEVER)).toBe(true);
  });

  it("finds it by a slow look when the message is lost", async () => {
    const { state, look } = record(() => {
      state.isDone = true;
    });
    expect(await notifications.watch("lost", look, isTrue, later(NEVER_MS), { slowLookMs: 10 })).toBe(true);
    expect(state.looks).toBe(2);
  });

  it("waits on when the connection that hears is lost, and looks when there is one again", async () => {
    const { state, look } = record(async () => {
      state.isDone = true;
      await database.$executeRaw`
        SELECT pg_terminate_backend(pid) FROM pg_stat_activity
        WHERE datname = current_database() AND query LIKE 'LISTEN%'`;
    });
    expect(await notifications.watch("broken", look, isTrue, later(NEVER_MS), NEVER)).toBe(true);
    expect(state.looks).toBe(2);
  });

  it("is given what was found last when the time is up", async () => {
    const { look } = record();
    expect(await notifications.watch("never", look, isTrue, later(50), NEVER)).toBe(false);
  });

  it("waits by slow looks where nothing can be heard", async () => {
    const deaf = new Notifications({ connectionString: "postgres://nobody@127.0.0.1:1/nowhere" } as Database);
    const { state, look } = record(() => {
      state.isDone = true;
    });
    expect(await deaf.watch("any", look, isTrue, later(NEVER_MS), { slowLookMs: 10 })).toBe(true);
  });
});

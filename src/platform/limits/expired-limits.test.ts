import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { ExpiredLimitsRepository } from "./expired-limits.repository.js";
import { GuessLimits } from "./guess-limits.js";
import { MailLimits } from "./mail-limits.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

it("counts are removed an hour after their window, those that never expire are kept, and nothing goes on after the service", async () => {
  const { nest, database } = app;
  const expired = nest.get(ExpiredLimitsRepository);
  const minutesAgo = (minutes: number) => BigInt(Date.now() - minutes * 60_000);
  const rows = { old: minutesAgo(61), recent: minutesAgo(59), open: minutesAgo(-5), lasting: null };
  await database.limitState.createMany({ data: Object.entries(rows).map(([key, expire]) => ({ key, expire })) });
  await expired.clear();
  const left = await database.limitState.findMany({
    where: { key: { in: Object.keys(rows) } },
    orderBy: { key: "asc" },
  });
  expect(left.map(({ key }) => key)).toEqual(["lasting", "open", "recent"]);
  const limiters = [GuessLimits, MailLimits].flatMap((limits) => Object.values(nest.get<object>(limits)));
  const timers = limiters.flatMap((limiter) => Reflect.get(Object(limiter), "_clearExpiredTimeoutId") ?? []);
  expect(timers).toEqual([]);
  expect(expired.isRunning).toBe(true);
  expired.onApplicationShutdown();
  expect(expired.isRunning).toBe(false);
});

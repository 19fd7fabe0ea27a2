import { describe, expect, test } from "@jest/globals";
import { isTime, parseClock, parseDate, parseIsoInstant } from "./time-text.js";

/** s since 1970. */
function secondsOf(text: string): number | null {
  const instant = parseIsoInstant(text);
  return instant && instant.seconds + instant.fraction;
}

describe("a clock", () => {
  test.each([
    ["00:00:00", 0, 3],
    ["1:02:03.5", 3723.5, 3],
    ["01:02:03,5", 3723.5, 3],
    ["02:03.25", 123.25, 2],
    ["75:30", 4530, 2],
    ["100:00:00", 360_000, 3],
    [" 23:59:59.999 ", 86_399.999, 3],
    ["12:00:00 AM", 0, 3],
    ["12:30:00 PM", 45_000, 3],
    ["1:00:00.5 p.m.", 46_800.5, 3],
    ["9:12 am", 33_120, 3],
    ["下午1:00:00", 46_800, 3],
    ["09:12:00:500", 33_120.5, 3],
  ])("%j is %d s, in %d parts", (text, seconds, parts) => {
    expect(parseClock(text)?.seconds).toBeCloseTo(seconds, 9);
    expect(parseClock(text)?.parts).toBe(parts);
  });

  test.each(["", "12", "1:60:00", "1:00:60", "1:60", "1:2:3:4", "a:b:c", "-1:00:00", "13:00:00 PM", "0:30 am"])(
    "is none in %j",
    (text) => expect(parseClock(text)).toBeNull(),
  );
});

describe("an ISO 8601 instant", () => {
  // RFC 3339, 5.8 (the first example read, the others from memory). Differences are of instants that it says are equal.
  test.each([
    ["1985-04-12T23:20:50.52Z", Date.UTC(1985, 3, 12, 23, 20, 50) / 1000 + 0.52],
    ["1996-12-19T16:39:57-08:00", Date.UTC(1996, 11, 20, 0, 39, 57) / 1000],
    ["1990-12-31T23:59:60Z", Date.UTC(1991, 0, 1) / 1000],
    ["1937-01-01T12:00:27.87+00:20", Date.UTC(1937, 0, 1, 11, 40, 27) / 1000 + 0.87],
  ])("%s is the instant that RFC 3339 says", (text, seconds) => expect(secondsOf(text)).toBeCloseTo(seconds, 6));

  test("without a zone is taken as UTC, with a blank for the T and a decimal comma too", () => {
    expect(secondsOf("2026-05-02 09:12:00,25")).toBe(Date.UTC(2026, 4, 2, 9, 12) / 1000 + 0.25);
    expect(secondsOf("2026-05-02T09:12")).toBe(Date.UTC(2026, 4, 2, 9, 12) / 1000);
    expect(secondsOf("2026-05-02T09:12:00+02")).toBe(Date.UTC(2026, 4, 2, 7, 12) / 1000);
  });

  test("keeps its fraction apart from its seconds, to the last digit", () => {
    expect(parseIsoInstant("2026-05-02T09:12:00.123456Z")?.fraction).toBe(0.123456);
  });

  test.each([
    "",
    "2026-05-02",
    "09:12:00",
    "2026-13-02T09:12:00",
    "2026-05-40T09:12:00",
    "2025-02-29T09:12:00",
    "2026-05-02T24:12:00",
    "2026-05-02T09:60:00",
    "2026-05-02T09:12:61",
    "2026-05-02T09:12:00+25:00",
    "05/02/2026 09:12:00",
  ])("is none in %j", (text) => expect(parseIsoInstant(text)).toBeNull());
});

describe("a date", () => {
  const day = Date.UTC(2026, 4, 2) / 86_400_000;
  test.each(["2026-05-02", "2026/05/02", "02.05.2026", "2.5.2026"])("%s is the second of May", (text) => {
    expect(parseDate(text)).toBe(day);
  });
  // Day and month cannot be told apart.
  test.each(["05/02/2026", "2026-05/02", "2026-02-30", "32.01.2026", "2026-05-02T09:12", "16.80"])(
    "is none in %j",
    (text) => expect(parseDate(text)).toBeNull(),
  );
});

test("a date alone is no time", () => {
  expect(["2026-05-02", "09:12", "2026-05-02 09:12"].map(isTime)).toEqual([false, true, true]);
});

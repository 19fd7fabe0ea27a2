import { describe, expect, it } from "@jest/globals";
import { faultsOf, MAX_MEBIBYTES, readerBoundMs, undeclaredFaults } from "./judge.js";

const fine = {
  answers: { "200": 3, "503 too-busy": 40, "429 too-many-requests": 2 },
  peakMebibytes: 200,
  readerMs: 12,
};

describe("what an attack came to", () => {
  it("is no fault where it is answered, within the bounds", () => {
    expect(faultsOf(fine, readerBoundMs(3))).toEqual([]);
  });

  it.each([
    "500",
    "500 internal-error",
    "502",
    "503 internal-error",
    "503 no-such-code",
    "two hosts: 200+500",
    "507 storage-unavailable",
  ])("is a fault where it is answered %s", (answer) => {
    expect(undeclaredFaults({ answers: { [answer]: 1 } })).toEqual([answer]);
  });

  it.each(["200", "closed 1006", "503 query-time-limit", "503", "an unknown coding: 501", "two lengths: 400+503"])(
    "is none where it is answered %s",
    (answer) => {
      expect(undeclaredFaults({ answers: { [answer]: 1 } })).toEqual([]);
    },
  );

  it.each([
    ["an end of the service", { peakMebibytes: null }],
    ["too much memory", { peakMebibytes: MAX_MEBIBYTES }],
    ["a reader who waits", { readerMs: 1_000 }],
    ["a reader without an answer", { readerMs: Number.NaN }],
  ])("is a fault with %s", (_, change) => {
    expect(faultsOf({ ...fine, ...change }, readerBoundMs(3))).toHaveLength(1);
  });

  it("holds a reader on a busy machine against what it waits there anyway", () => {
    expect(faultsOf({ ...fine, readerMs: 1_900 }, readerBoundMs(400))).toEqual([]);
  });
});

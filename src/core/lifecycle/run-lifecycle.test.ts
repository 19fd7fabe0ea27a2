import { describe, expect, test } from "@jest/globals";
import {
  after,
  DECISIONS,
  NEW_RUN,
  REVIEW_STATES,
  RUN_EVENTS,
  RUN_STATES,
  type RunEvent,
  type RunStatus,
} from "./run-lifecycle.js";

const key = ({ state, review, appealed }: RunStatus) => `${state}/${review}/${appealed}`;

function reachable(): Map<string, RunStatus> {
  const found = new Map([[key(NEW_RUN), NEW_RUN]]);
  for (const status of found.values()) {
    for (const event of RUN_EVENTS) {
      const next = after(status, event);
      if (next) found.set(key(next), next);
    }
  }
  return found;
}

describe("a run's life", () => {
  test("reaches every state and every review state, and uses every event", () => {
    const found = [...reachable().values()];
    expect(new Set(found.map(({ state }) => state))).toEqual(new Set(RUN_STATES));
    expect(new Set(found.map(({ review }) => review))).toEqual(new Set(REVIEW_STATES));
    for (const event of RUN_EVENTS) {
      expect([event, found.some((status) => after(status, event) !== null)]).toEqual([event, true]);
    }
  });

  test("never accepts a run that was not evaluated", () => {
    for (const { state, review } of reachable().values()) if (review === "accepted") expect(state).toBe("processed");
  });

  test("ends for good when it is withdrawn", () => {
    for (const status of reachable().values()) {
      if (status.review !== "withdrawn") continue;
      for (const event of RUN_EVENTS) expect(after(status, event)?.review ?? "withdrawn").toBe("withdrawn");
    }
  });

  test("is appealed once at most", () => {
    for (const status of reachable().values()) if (status.appealed) expect(after(status, "appeal")).toBeNull();
  });

  test("takes every decision back to where it came from", () => {
    for (const status of reachable().values()) {
      for (const decision of DECISIONS) {
        const decided = after(status, decision);
        if (decided) expect(after(decided, `undo-to-${status.review}` as RunEvent)).toEqual(status);
      }
    }
  });

  test("always leaves evaluation a way to its end", () => {
    for (const status of reachable().values()) {
      const ended = status.state === "processed" || status.state === "failed";
      expect(ended || after(status, "start") !== null || after(status, "finish") !== null).toBe(true);
    }
  });
});

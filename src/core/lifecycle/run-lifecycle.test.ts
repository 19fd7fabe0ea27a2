import { describe, expect, test } from "@jest/globals";
import { after, NEW_RUN, REVIEW_STATES, RUN_EVENTS, RUN_STATES, type RunStatus } from "./run-lifecycle.js";

const key = ({ state, review }: RunStatus) => `${state}/${review}`;

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

  test("always leaves evaluation a way to its end", () => {
    for (const status of reachable().values()) {
      const ended = status.state === "processed" || status.state === "failed";
      expect(ended || after(status, "start") !== null || after(status, "finish") !== null).toBe(true);
    }
  });
});

/** How far a clock may be ahead of ours: the zones of the Earth and a clock that is set wrongly are within it. */
const MAX_AHEAD_MS = 24 * 3_600_000;

/** Whether a date and time lies in the future, by more than clocks and zones differ; what is no date does not. */
export function isInFuture(text: string, nowMs: number): boolean {
  return Date.parse(text) > nowMs + MAX_AHEAD_MS;
}

export const FUTURE_MESSAGE = "must not lie in the future: give when it was, with its offset";

import type { ChannelReader } from "./course-reader.js";

/** What a logger makes of a channel before it writes it: the mean of the seconds before, or a first-order lag of so many seconds. */
export interface Smoothing {
  readonly kind: "mean" | "lag";
  readonly seconds: number;
}

const STEP_SECONDS = 0.002;
/** A lag has forgotten what was so many of its seconds ago. */
const FORGOTTEN_AFTER = 12;

/** A channel as it stands behind a smoothing, at instants that rise from call to call. */
export function smoothed(
  channel: ChannelReader,
  startSeconds: number,
  { kind, seconds }: Smoothing,
): (instant: number) => number {
  if (kind === "mean") {
    return (instant) => {
      const from = Math.max(startSeconds, instant - seconds);
      return instant > from ? channel.mean(from, instant) : channel.at(instant);
    };
  }
  let at = startSeconds;
  let value = channel.at(startSeconds);
  return (instant) => {
    at = Math.max(at, instant - FORGOTTEN_AFTER * seconds);
    while (at < instant) {
      const next = Math.min(instant, at + STEP_SECONDS);
      value += (channel.mean(at, next) - value) * -Math.expm1(-(next - at) / seconds);
      at = next;
    }
    return value;
  };
}

import type { Trace } from "../model.js";
import { indexAtOrAfter } from "../trace/series.js";
import { loadedStretch, type ResidualChannel } from "./residual.js";

/** Share of samples equal to the one before from which on digits make more of a residual than noise (noise below 0.45 of a digit). */
const COARSE_SHARE = 0.5;

/** Whether a channel is written so coarsely under load that its digits, not its noise, make most of its residual. */
export function isCoarse(trace: Trace, channel: ResidualChannel): boolean {
  const { fromS, toS } = loadedStretch(trace);
  const values = trace[channel].subarray(indexAtOrAfter(trace.time, fromS), indexAtOrAfter(trace.time, toS));
  let repeats = 0;
  for (let i = 1; i < values.length; i++) if (values[i] === values[i - 1]) repeats++;
  return repeats > COARSE_SHARE * values.length;
}

import { indexAtOrAfter } from "../../trace/series.js";
import { smoothShare } from "../observe/smooth-share.js";
import { type Observation, type Rule, within } from "../rule.js";

/** What comes sooner after the onset is the load's own rise, s. */
const SETTLED_S = 1;

export const NOISE_FLOOR: Rule = {
  id: "noise-floor",
  observes:
    "The share of the run, from 1 s after onset to the end of reading, in which the logged voltage or current shows neither noise nor the steps of its digits. There each sample follows the smooth curve of its neighbours more closely than any converter can read. The smoother of the two channels counts.",
  why: "Every instrument has noise or digits, and every pack and load adds some. Values without any were computed, not measured.",
  unit: "%",
  limits: {
    maximumPercent: "largest share of the run allowed, %",
    leastPpm: "smallest deviation from a smooth curve that an instrument shows, ppm of the reading",
  },
  assess: ({ run }, limit) => {
    const { time } = run.trace;
    const from = indexAtOrAfter(time, SETTLED_S);
    const to = indexAtOrAfter(time, run.stop.endS);
    const share = limit("leastPpm") / 1e6;
    const voltage = smoothShare(time, run.samples.voltage, from, to, share);
    const current = smoothShare(time, run.samples.current, from, to, share);
    if (!voltage || !current) return null;
    const smoother = current.percent > voltage.percent ? current : voltage;
    const { percent, samples } = smoother;
    const limits = { maximum: limit("maximumPercent") };
    if (!samples) return within(percent, limits);
    const span = { fromS: time[samples.from] as number, toS: time[samples.to - 1] as number };
    const observation: Observation = within(percent, limits, span);
    return { ...observation, place: `the channel is the ${smoother === voltage ? "voltage" : "current"}` };
  },
  seen: (observed) => `One channel is smoother than any instrument for ${observed} of the run`,
  missing: "The log has too few samples under load to tell noise from the curve.",
  advice:
    "Upload the values that the instruments read, as the logger wrote them. Do not upload computed, smoothed, fitted or interpolated values.",
};

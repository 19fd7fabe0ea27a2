import { indexAtOrAfter } from "../../trace/series.js";
import { smoothShare } from "../observe/smooth-share.js";
import { type Observation, type Rule, within } from "../rule.js";

/** What comes sooner after the onset is the load's own rise, s. */
const SETTLED_S = 1;

export const NOISE_FLOOR: Rule = {
  id: "noise-floor",
  observes:
    "Share of the run, from 1 s after onset to the end of reading, in which voltage or current, as logged, shows neither noise nor the steps of its digits: each sample follows the smooth course of its neighbours more closely than any converter reads. Of the two channels, the smoother one counts.",
  why: "Every instrument has noise, or digits, or both, and every pack and load adds some: numbers that have none were computed and not measured.",
  unit: "%",
  limits: {
    maximumPercent: "largest share of the run, %",
    leastPpm: "least departure from a smooth course that an instrument gives, millionths of the reading",
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
  seen: (observed) => `For ${observed} of the run a channel is smoother than any instrument`,
  missing: "The log holds too few samples under load to tell noise from course.",
  advice:
    "Upload the numbers that the instruments read, as the logger wrote them: not computed ones, and none that were smoothed, fitted or filled in between samples.",
};

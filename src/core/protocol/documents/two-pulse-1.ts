import type { ProtocolDocument } from "../document.js";
import { CAUTIONS } from "./cautions.js";
import { cellsWithCutoff, ORDERLY_LOG_1, PLAUSIBLE_LOG_1, RECOVERY_1 } from "./shared-1.js";

/** Resistance from two pulses, version 1. It never changes: a better limit is a new version. */
export const TWO_PULSE_1: ProtocolDocument = {
  key: "two-pulse",
  version: 1,
  title: "Direct-current resistance from two pulses",
  summary:
    "A rested pack at a declared state of charge is loaded with 0.2 It for 10 s and then at once with 1 It for 1 s. The resistance is the fall of the voltage between the ends of both pulses over the rise of the current.",
  procedure: [
    "Bring the pack to a known state of charge, declare it, and let the pack rest for at least 60 minutes at 15 to 25 degC.",
    "Start the log at least 2 s before the load: 10 samples a second or more of time, voltage and current. Sense the voltage at the pack.",
    "Draw 0.2 It for 10 s, then go to 1 It within 0.2 s and hold it for a little more than 1 s; then remove the load, and let the log run on for ten seconds.",
    "Stop at once when anything looks wrong.",
  ],
  cautions: CAUTIONS,
  sources: [
    "Method, currents and times: IEC 61960-3, from memory: look at the printed standard before relying on them.",
    "Cell voltages and the limits of the rules: common practice, no published source.",
  ],
  cells: cellsWithCutoff({ lipo: null, lihv: null, liion: null, lifepo4: null }),
  load: { kind: "two-pulse", first: { rateIt: 0.2, seconds: 10 }, second: { rateIt: 1, seconds: 1 } },
  temperatureLimitC: 60,
  figures: ["resistance-two-pulse", "resistance-two-pulse-per-cell", "resistance-two-pulse-times-it"],
  rules: [
    { rule: "sampling-rate", severity: "required", limit: { minimum: 10, tolerancePercent: 2 }, unit: "Hz" },
    { rule: "largest-gap", severity: "required", limit: { maximum: 0.3 }, unit: "s" },
    ...ORDERLY_LOG_1,
    { rule: "current-zero", severity: "advised", limit: { maximumPercent: 2 }, unit: "A" },
    { rule: "sense-known", severity: "required", limit: { maximumPercent: 5 }, unit: "%" },
    { rule: "sense-at-pack", severity: "corrected", limit: { maximum: 0 }, unit: "mohm" },
    {
      rule: "voltage-accuracy",
      severity: "required",
      limit: { percent: 0.1, offset: 0.005, leastPercent: 0.001 },
      unit: "V",
    },
    {
      rule: "current-accuracy",
      severity: "required",
      limit: { percent: 1, offset: 0.1, leastPercent: 0.005 },
      unit: "A",
    },
    { rule: "charge-state-declared", severity: "required", limit: { minimum: 10, maximum: 100 }, unit: "%" },
    { rule: "rest-time", severity: "required", limit: { minimum: 60 }, unit: "min" },
    {
      rule: "start-temperature",
      severity: "required",
      limit: { minimum: 15, maximum: 25 },
      unit: "degC",
      onlyWhenLogged: true,
    },
    { rule: "ambient-temperature", severity: "advised", limit: { minimum: 15, maximum: 25 }, unit: "degC" },
    { rule: "temperature-logged", severity: "advised", limit: { minimum: 1 }, unit: "channels" },
    { rule: "load-rise", severity: "required", limit: { maximum: 0.2 }, unit: "s" },
    { rule: "first-pulse-level", severity: "required", limit: { maximumPercent: 5 }, unit: "%" },
    { rule: "first-pulse-length", severity: "required", limit: { minimum: 9.5, maximum: 12 }, unit: "s" },
    { rule: "second-pulse-rise", severity: "required", limit: { maximum: 0.2 }, unit: "s" },
    { rule: "second-pulse-level", severity: "required", limit: { maximumPercent: 5 }, unit: "%" },
    { rule: "second-pulse-length", severity: "required", limit: { minimum: 0.98, maximum: 3 }, unit: "s" },
    RECOVERY_1,
    { rule: "temperature-limit", severity: "required", limit: { maximum: 60 }, unit: "degC", onlyWhenLogged: true },
    ...PLAUSIBLE_LOG_1,
    { rule: "probes-plausible", severity: "advised", limit: { maximum: 25 }, unit: "K" },
    { rule: "resistance-positive", severity: "required", limit: { minimum: 0 }, unit: "mohm" },
    {
      rule: "resistance-by-load",
      severity: "advised",
      limit: { minimumPercent: 50, leastLevelRatio: 1.4 },
      unit: "%",
    },
  ],
  ranked: [
    { figure: "resistance-two-pulse", basis: "own", better: "lower" },
    { figure: "resistance-two-pulse-per-cell", basis: "own", better: "lower" },
    { figure: "resistance-two-pulse-times-it", basis: "own", better: "lower" },
  ],
};

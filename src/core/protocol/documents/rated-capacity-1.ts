import type { ProtocolDocument } from "../document.js";
import { CAUTIONS } from "./cautions.js";
import { cellsWithCutoff, ORDERLY_LOG_1, PLAUSIBLE_LOG_1, SENSORS_1, SPECIFIC_ENERGY_1 } from "./shared-1.js";

/** Capacity at the rated current, version 1. It never changes: a better limit is a new version. */
export const RATED_CAPACITY_1: ProtocolDocument = {
  key: "rated-capacity",
  version: 1,
  title: "Capacity at 0.2 It",
  summary:
    "A fully charged, rested pack at 20 degC is discharged with a constant 0.2 It until its voltage falls to the cutoff: about five hours. The charge delivered is set against the rated capacity.",
  procedure: [
    "Charge the pack fully with the maker's method and let it rest for 1 to 4 hours at 15 to 25 degC.",
    "Start the log at least 10 s before the load: one sample every 5 s or more often of time, voltage and current.",
    "Draw a constant 0.2 It to the cutoff of the protocol, in surroundings of 15 to 25 degC. Use a load with a voltage and a temperature cut-out, and do not leave the test alone.",
    "Upload the file as the logger wrote it.",
  ],
  cautions: CAUTIONS,
  sources: [
    "Current of 0.2 It, 20 +- 5 degC and the rest of 1 to 4 hours: IEC 61960-3, from memory: look at the printed standard before relying on them.",
    "Cell voltages, cutoffs and the limits of the rules: common practice, no published source; a maker's own end-of-discharge voltage comes first.",
  ],
  cells: cellsWithCutoff({ lipo: 3.0, lihv: 3.0, liion: 2.75, lifepo4: 2.5 }),
  load: { kind: "rate", rateIt: 0.2 },
  temperatureLimitC: 45,
  figures: [
    "capacity",
    "capacity-share",
    "energy",
    "specific-energy",
    "runtime",
    "current-mean",
    "temperature-rise",
    "time-to-limit",
  ],
  rules: [
    { rule: "sampling-rate", severity: "required", limit: { minimum: 0.2 }, unit: "Hz" },
    { rule: "largest-gap", severity: "required", limit: { maximum: 30 }, unit: "s" },
    ...ORDERLY_LOG_1,
    ...SENSORS_1,
    {
      rule: "voltage-accuracy",
      severity: "required",
      limit: { percent: 0.5, offset: 0.02, leastPercent: 0.005 },
      unit: "V",
    },
    {
      rule: "current-accuracy",
      severity: "required",
      limit: { percent: 1, offset: 0.1, leastPercent: 0.005 },
      unit: "A",
    },
    { rule: "full-charge", severity: "required", limit: { below: 0.05, above: 0.03 }, unit: "V" },
    { rule: "rest-time", severity: "required", limit: { minimum: 60 }, unit: "min" },
    { rule: "rest-at-most", severity: "required", limit: { maximum: 240 }, unit: "min" },
    {
      rule: "start-temperature",
      severity: "required",
      limit: { minimum: 15, maximum: 25 },
      unit: "degC",
      onlyWhenLogged: true,
    },
    { rule: "ambient-temperature", severity: "required", limit: { minimum: 15, maximum: 25 }, unit: "degC" },
    { rule: "temperature-logged", severity: "advised", limit: { minimum: 1 }, unit: "channels" },
    { rule: "load-rise", severity: "required", limit: { maximum: 5 }, unit: "s" },
    { rule: "load-rate", severity: "required", limit: { maximumPercent: 5 }, unit: "%" },
    { rule: "load-steady", severity: "required", limit: { maximumPercent: 5, leastTimePercent: 99 }, unit: "%" },
    { rule: "cutoff-reached", severity: "required", limit: { maximum: 0 }, unit: "V" },
    { rule: "cutoff-depth", severity: "corrected", limit: { maximum: 60 }, unit: "s" },
    { rule: "temperature-limit", severity: "required", limit: { maximum: 45 }, unit: "degC", onlyWhenLogged: true },
    ...PLAUSIBLE_LOG_1,
    {
      rule: "capacity-plausible",
      severity: "required",
      limit: { minimumPercent: 50, maximumPercent: 115 },
      unit: "%",
      onlyWhenLogged: true,
    },
    SPECIFIC_ENERGY_1,
  ],
  ranked: [
    { figure: "capacity", basis: "own", better: "higher" },
    { figure: "capacity-share", basis: "own", better: "higher" },
    { figure: "energy", basis: "own", better: "higher" },
    { figure: "specific-energy", basis: "own", better: "higher" },
  ],
};

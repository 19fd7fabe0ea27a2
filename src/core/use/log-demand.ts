export const LOG_DEMANDS = ["current", "power"] as const;
/** What of a log a use asks of other packs. */
export type LogDemand = (typeof LOG_DEMANDS)[number];
export const DEMAND_UNITS: Readonly<Record<LogDemand, string>> = { current: "A", power: "W" };

/** What was drawn, A or W and never below 0, between the first and the last load; `time` in s of the log. */
export interface LoggedLoad {
  readonly time: Float64Array;
  readonly value: Float64Array;
}

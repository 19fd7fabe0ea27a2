/** What a trace was made of: readings with the units converted, and what was then done to them. */
export interface ReadingsOfTrace {
  /** By the log's own clock, s. */
  readonly time: Float64Array;
  /** As sensed, V. */
  readonly voltage: Float64Array;
  /** As sensed, discharge positive, A. */
  readonly current: Float64Array;
  /** The trace's time is less this, s. */
  readonly onsetS: number;
  /** The trace's current is less this, A; null when nothing was subtracted. */
  readonly offsetA: number | null;
  /** The trace's voltage has the trace's current through this added, ohm; null when nothing was. */
  readonly leadsOhm: number | null;
}

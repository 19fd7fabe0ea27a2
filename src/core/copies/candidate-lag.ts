/** Where a candidate may lie: time in the one less time in the other, known to within `withinS`; s. */
export interface CandidateLag {
  readonly lagS: number;
  readonly withinS: number;
  /** Known from what the loads did by themselves, whatever the clocks: too roughly to compare samples. */
  readonly byCourse: boolean;
}

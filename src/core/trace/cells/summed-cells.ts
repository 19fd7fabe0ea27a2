/** Cell voltages whose sum is the pack's voltage. */
export interface SummedCells {
  readonly count: number;
  /** The readings of each, as many as the trace has samples; none where only the sum is known any more. */
  readonly cells: readonly Float64Array[];
}

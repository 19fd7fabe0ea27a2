/** Numbers beyond these are taken anew each time, so that one long log does not hold memory for ever. */
const MAX_KEPT = 100_000;

/**
 * Room for numbers that are needed for a moment, the same each time: whoever asks next overwrites them. What is taken anew for each run makes the engine
 * collect garbage that was short-lived.
 */
export class Room {
  private kept = new Float64Array();

  /** So many numbers, with whatever was left in them. */
  take(length: number): Float64Array {
    if (length > MAX_KEPT) return new Float64Array(length);
    if (length > this.kept.length) this.kept = new Float64Array(length);
    return this.kept.subarray(0, length);
  }
}

export const RECORD_QUANTITIES = ["power", "capacity", "resistance"] as const;
/** What a tester's record is judged in. */
export type RecordQuantity = (typeof RECORD_QUANTITIES)[number];

/** The quantity whose errors decide a figure's; null where none of them does, as for temperatures. */
export function quantityOf(figure: string): RecordQuantity | null {
  if (/^(power|voltage|current|energy|specific|verified|claim|hold)-?/.test(figure)) return "power";
  if (/^(capacity|runtime)/.test(figure)) return "capacity";
  if (/^(resistance|sag)-/.test(figure)) return "resistance";
  return null;
}

export const RECORD_QUANTITIES = ["power", "capacity", "resistance"] as const;
/** What a tester's record is judged in. */
export type RecordQuantity = (typeof RECORD_QUANTITIES)[number];

/** The figure of one protocol that a quantity is judged by. */
export interface RecordFigure {
  readonly quantity: RecordQuantity;
  readonly protocol: string;
  readonly figure: string;
  readonly basis: "own" | "translated";
}

/**
 * What records are judged by. Powers and capacities compare at a standard load; a resistance hardly depends on it. One pack counts
 * once a quantity: by the first of these that the tester shares with a reference tester.
 */
export const RECORD_FIGURES: readonly RecordFigure[] = [
  { quantity: "power", protocol: "full-load", figure: "power-10s", basis: "translated" },
  { quantity: "capacity", protocol: "full-load", figure: "capacity", basis: "translated" },
  { quantity: "capacity", protocol: "rated-capacity", figure: "capacity", basis: "own" },
  { quantity: "resistance", protocol: "full-load", figure: "resistance-10s", basis: "own" },
  { quantity: "resistance", protocol: "two-pulse", figure: "resistance-two-pulse", basis: "own" },
];

/** The quantity whose errors decide a figure's; null where none of them does, as for temperatures. */
export function quantityOf(figure: string): RecordQuantity | null {
  if (/^(power|voltage|current|energy|specific|verified|claim|hold)-?/.test(figure)) return "power";
  if (/^(capacity|runtime)/.test(figure)) return "capacity";
  if (/^(resistance|sag)-/.test(figure)) return "resistance";
  return null;
}

import type { FactsOf } from "./fact.js";

/** What the tester declares about one run; null where it is not known. */
export interface RunConditions {
  /** Temperature of the surroundings, degC. */
  readonly ambientC: number | null;
  /** Rest between the end of charge and the onset of load, min. */
  readonly restMinutes: number | null;
  /** Age of the specimen in full cycles. */
  readonly cycles: number | null;
  /** Set current of a constant-current run, A. */
  readonly setpointA: number | null;
  /** State of charge at the start, %, of a run that does not start fully charged. */
  readonly stateOfChargePercent?: number | null;
}

/** A new condition is an entry here and in the type above, and a column of `run` in the database. */
export const CONDITION_FACTS = {
  ambientC: {
    kind: "number",
    description: "Temperature of the surroundings",
    unit: "degC",
    min: -60,
    max: 100,
    optional: true,
  },
  restMinutes: {
    kind: "number",
    description: "Rest between the end of charge and the load",
    unit: "min",
    min: 0,
    max: 1e6,
    optional: true,
  },
  cycles: { kind: "integer", description: "Age of the specimen in full cycles", min: 0, max: 100_000, optional: true },
  setpointA: {
    kind: "number",
    description: "Set current of a constant-current run",
    unit: "A",
    above: 0,
    max: 100_000,
    optional: true,
  },
  stateOfChargePercent: {
    kind: "number",
    description: "State of charge at the start of a run that does not start fully charged",
    unit: "%",
    min: 0,
    max: 100,
    optional: true,
  },
} as const satisfies FactsOf<RunConditions>;

export const CONDITION_KEYS = Object.keys(CONDITION_FACTS) as readonly (keyof RunConditions)[];

/** The conditions in an input or in a row of the database, those left out as null. */
export function conditionsOf(
  from: { readonly [K in keyof RunConditions]?: RunConditions[K] | undefined },
): Required<RunConditions> {
  return Object.fromEntries(
    CONDITION_KEYS.map((key) => [key, from[key] ?? null]),
  ) as unknown as Required<RunConditions>;
}

/** How many items a page has whose size is not said. */
const USUAL_PAGE = 25;

/**
 * How many items the lists that have no pages hold, by type and field. Every one of the schema is named here, as a test
 * sees to: what a list costs is decided when it is added.
 */
const LIST_SIZES: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  AcceptanceCheck: { terms: 10 },
  Agreement: { testers: 10 },
  CalibrationList: { items: 25 },
  Change: { standings: 40 },
  Comparison: { columns: 10, curves: 10, readings: 10, rows: 100, steps: 10 },
  ComparisonReading: { cells: 10 },
  ComparisonRow: { cells: 10 },
  ComparisonStep: { cells: 10 },
  Conformance: { findings: 40 },
  Departures: { items: 25 },
  EnergyAgainstPower: { needed: 10, points: 16 },
  EnergyComparison: { items: 10 },
  EnergyOfPack: { needed: 10, points: 25 },
  Evaluation: { adjustments: 10, figures: 100 },
  EvaluationChanges: { adjustmentsGone: 10, adjustmentsNew: 10, figures: 100, findings: 40 },
  Evidence: { effects: 10, replaces: 10, runsOfPack: 10, sameLog: 10 },
  EvidenceSummary: { copies: 10, effects: 10, failed: 10, figures: 10, proposals: 10, remarks: 40, signs: 10 },
  Figure: { budget: 8 },
  FigureDefinition: { protocols: 10 },
  HeldTester: { results: 25 },
  Ladder: { figures: 100, findings: 40, steps: 10 },
  LadderSummary: { figures: 100 },
  Log: { columns: 10 },
  LoggedUse: { remarks: 10, steps: 1_000 },
  LogError: { candidates: 10, errors: 10 },
  PackClass: { loads: 10 },
  PackCycles: { results: 25 },
  PackValidation: { missing: 10, runs: 25 },
  Plan: { checklist: 40, loads: 10, standardLoads: 10 },
  Plausibility: { signs: 10 },
  Prediction: { curve: 300, needed: 10 },
  Predictions: { items: 10 },
  ProtocolRule: { limits: 4 },
  QueuedRun: { adjustments: 10, figures: 100, keyFigures: 10, proposals: 10 },
  Reading: { values: 10 },
  Readings: { readings: 10 },
  RecordValidation: { items: 50 },
  ReevaluationEffects: { runs: 40, standingChanges: 40, verdicts: 10 },
  ReviewClaimOutcomes: { items: 25 },
  ReviewOutcomes: { items: 25 },
  Run: { adjustments: 10, figures: 100, keyFigures: 10 },
  RunCopies: { copies: 10 },
  RunCopy: { agreements: 10 },
  RunEvaluations: { items: 25 },
  RunHistory: { items: 25 },
  SimilarPacks: { items: 10 },
  StandingReview: { disputes: 25, held: 10 },
  TesterRecord: { packs: 100, protocols: 10, record: 10, withdrawals: 25 },
  Trace: { channels: 5 },
  Withdrawal: { figures: 10 },
};

/** The same of lists of numbers, words and ids, such as the samples of a trace. */
const VALUE_LIST_SIZES: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  ApiKey: { scopes: 5 },
  AuditEntry: { rules: 10 },
  ColumnMap: { header: 100 },
  ComparisonCurve: {
    charge: 1_000,
    chargeShare: 1_000,
    current: 1_000,
    power: 1_000,
    temperature: 1_000,
    time: 1_000,
    voltage: 1_000,
  },
  Erasure: { remains: 10 },
  EvaluationCause: { protocolMembers: 10, rules: 10 },
  EvidenceSummary: { replaces: 10 },
  FindingChange: { causes: 10 },
  Ladder: { cautions: 10 },
  MadeDecision: { rules: 10 },
  NewApiKey: { scopes: 5 },
  NewWebhook: { kinds: 10 },
  PackPlace: { placeRange: 2 },
  EnergyAgainstPower: { cautions: 10 },
  EnergyComparison: { cautions: 10 },
  Prediction: { cautions: 10 },
  QuantityRecord: { gaps: 10 },
  Ranking: { loads: 10 },
  Review: { independentOf: 10, rules: 10 },
  Plan: { cautions: 10 },
  RunOutcome: { failedRules: 10 },
  RunQuestion: { rules: 10 },
  SelectedPack: { cautions: 2 },
  Selection: { cautions: 10 },
  Standing: { placeRange: 2, tiedWith: 50 },
  TesterAgreement: { runIds: 10, withdrawnRunIds: 10 },
  TraceChannel: { values: 1_000 },
  Webhook: { kinds: 10 },
};

/** Of a list that is not named, which no schema of this service has. */
const USUAL_LIST = 100;

/** Shares of the standard introspection query's answer, from the average type of a schema. */
const INTROSPECTION_SIZES: ReadonlyMap<string, number> = new Map([
  ["types", 200],
  ["directives", 5],
  ["fields", 8],
  ["args", 0.5],
  ["inputFields", 2],
  ["ofType", 0.3],
]);

/** How many items an introspective field gives for one object, on average. */
export function introspectionSize(field: string): number {
  return INTROSPECTION_SIZES.get(field) ?? 1;
}

/** The size of a page that was asked for, or the usual one. */
export function pageSize({ first, last }: Readonly<Record<string, unknown>>): number {
  const asked = first ?? last ?? USUAL_PAGE;
  return typeof asked === "number" && asked > 0 ? asked : 0;
}

/** How many objects a list without pages holds. Where ids are asked for, as many as there are of them. */
export function listSize(type: string, field: string, { ids }: Readonly<Record<string, unknown>> = {}): number {
  return Array.isArray(ids) ? ids.length : (LIST_SIZES[type]?.[field] ?? USUAL_LIST);
}

export function valueListSize(type: string, field: string): number {
  return VALUE_LIST_SIZES[type]?.[field] ?? USUAL_LIST;
}

/** The lists whose sizes are named, as `Type.field`. */
export function namedLists(of: "objects" | "values"): string[] {
  const sizes = of === "objects" ? LIST_SIZES : VALUE_LIST_SIZES;
  return Object.entries(sizes).flatMap(([type, fields]) => Object.keys(fields).map((field) => `${type}.${field}`));
}

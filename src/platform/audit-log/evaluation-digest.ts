import { createHash } from "node:crypto";
import { canonicalJson } from "./canonical-json.js";

/** What is stored of an evaluation, as its tables hold it; members beside those that the digest names are ignored. */
export interface StoredEvaluation {
  readonly runId: string;
  readonly protocolKey: string;
  readonly protocolVersion: number;
  readonly computationVersion: number;
  readonly logSha256: Uint8Array;
  readonly verdict: string;
  readonly rows: number;
  readonly columns: unknown;
  readonly samples: number;
  readonly rateHz: number;
  readonly durationS: number;
  readonly cutoffS?: number | null | undefined;
  readonly stop: string;
  readonly figures: readonly object[];
  readonly findings: readonly object[];
  readonly adjustments: readonly object[];
}

const FACTS = [
  "runId",
  "protocolKey",
  "protocolVersion",
  "computationVersion",
  "verdict",
  "rows",
  "columns",
  "samples",
  "rateHz",
  "durationS",
  "cutoffS",
  "stop",
];
const FIGURE = [
  "key",
  "basis",
  "load",
  "value",
  "unit",
  "uncertainty",
  "ownUncertainty",
  "kineticsUncertainty",
  "resistanceUncertainty",
  "formUncertainty",
  "bound",
  "budget",
];
const FINDING = [
  "position",
  "rule",
  "severity",
  "outcome",
  "observed",
  "limit",
  "unit",
  "message",
  "spanFromS",
  "spanToS",
];
const ADJUSTMENT = ["position", "kind", "message", "before", "after", "unit"];

/**
 * SHA-256, hexadecimal, over the canonical JSON (RFC 8785) of an evaluation with its figures, findings and adjustments, each
 * list sorted, and with the digest of its trace. The audit log holds it, so that a change to any of them shows.
 *
 * @param trace how the trace is laid out, and SHA-256 of its bytes, hexadecimal
 */
export function digestOfEvaluation(
  evaluation: StoredEvaluation,
  trace: { readonly encoding: string; readonly sha256: string },
): string {
  const text = canonicalJson({
    ...pick(evaluation, FACTS),
    logSha256: Buffer.from(evaluation.logSha256).toString("hex"),
    trace: { encoding: trace.encoding, sha256: trace.sha256 },
    figures: sorted(evaluation.figures, FIGURE, ["key", "basis", "load"]),
    findings: sorted(evaluation.findings, FINDING, ["rule"]),
    adjustments: sorted(evaluation.adjustments, ADJUSTMENT, ["position"]),
  });
  return createHash("sha256").update(text).digest("hex");
}

/** The members that are named; one that is missing is null, as its column is. */
function pick(from: object, names: readonly string[]): Record<string, unknown> {
  const members = from as Readonly<Record<string, unknown>>;
  const picked: Record<string, unknown> = {};
  for (const name of names) picked[name] = members[name] ?? null;
  return picked;
}

function sorted(list: readonly object[], names: readonly string[], by: readonly string[]) {
  return list
    .map((one) => pick(one, names))
    .map((one) => ({ one, place: JSON.stringify(by.map((name) => one[name])) }))
    .sort((a, b) => (a.place < b.place ? -1 : 1))
    .map(({ one }) => one);
}

import {
  decodeFindings,
  encodeFindings,
  FINDINGS_ENCODING,
  type FindingColumns,
} from "../../../core/protocol/stored-findings.js";

/** Rules of which queries look for what was observed. */
export const SEARCHED_RULES = ["start-temperature", "temperature-limit", "temperature-follows"] as const;
export type SearchedRule = (typeof SEARCHED_RULES)[number];

/** The findings of an evaluation that have no row of their own, as they are stored together. */
export interface OtherFindings {
  readonly encoding: string;
  readonly data: Uint8Array;
}

/** Findings as they are stored: a row for each that queries look for, which are those that failed and those of some rules; the others together. */
export function storedFindings<Row extends FindingColumns>(
  findings: readonly Row[],
): { rows: Row[]; others: { encoding: string; data: Buffer<ArrayBuffer> } } {
  const isSearched = ({ rule, outcome }: Row) => outcome === "fail" || SEARCHED_RULES.some((one) => one === rule);
  const others = findings.filter((one) => !isSearched(one));
  return {
    rows: findings.filter(isSearched),
    others: { encoding: FINDINGS_ENCODING, data: encodeFindings(others) },
  };
}

/** All findings of one evaluation in their order, wherever they are stored. */
export function withOthers<Row extends FindingColumns & { readonly evaluationId: string }>(
  evaluationId: string,
  rows: readonly Row[],
  stored: OtherFindings | null | undefined,
): (FindingColumns & { readonly evaluationId: string })[] {
  const others = stored ? decodeFindings(stored.encoding, stored.data) : [];
  return [...rows, ...others.map((one) => ({ evaluationId, ...one }))].sort((a, b) => a.position - b.position);
}

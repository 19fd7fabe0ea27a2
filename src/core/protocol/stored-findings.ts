import { constants, zstdCompressSync, zstdDecompressSync } from "node:zlib";
import { FINDINGS_DICTIONARY_1 } from "./findings-dictionary-1.js";

/** Name of the layout below. A change of it is a new name; old names stay readable. */
export const FINDINGS_ENCODING = "packledger-findings-1";

/** The findings of one evaluation take some kilobytes. */
const MAX_TEXT_BYTES = 1 << 24;
const WRITE = { [constants.ZSTD_c_compressionLevel]: 6, [constants.ZSTD_c_checksumFlag]: 1 };
const DICTIONARY = Buffer.from(FINDINGS_DICTIONARY_1);

/** A finding as its columns hold it: where it stands among those of its evaluation, and its span as two numbers. */
export interface FindingColumns {
  readonly position: number;
  readonly rule: string;
  readonly severity: string;
  readonly outcome: string;
  readonly observed: number | null;
  readonly limit: string;
  readonly unit: string;
  readonly message: string;
  readonly spanFromS: number | null;
  readonly spanToS: number | null;
}

type Line = readonly [
  position: number,
  rule: string,
  severity: string,
  outcome: string,
  observed: number | null,
  limit: string,
  unit: string,
  message: string,
  spanFromS: number | null,
  spanToS: number | null,
];

/**
 * Findings as bytes, without loss but for the sign of a zero: a list of lists (JSON), one for each finding with its members in the order of its
 * columns, packed by Zstandard (RFC 8878) with a dictionary and a checksum.
 *
 * @throws RangeError where a number is not finite
 */
export function encodeFindings(findings: readonly FindingColumns[]): Buffer<ArrayBuffer> {
  const lines = findings.map((one): Line => {
    for (const number of [one.position, one.observed, one.spanFromS, one.spanToS]) {
      if (number !== null && !Number.isFinite(number)) throw new RangeError(`a finding of ${one.rule} has ${number}`);
    }
    const { position, rule, severity, outcome, observed, limit, unit, message, spanFromS, spanToS } = one;
    return [position, rule, severity, outcome, observed, limit, unit, message, spanFromS, spanToS];
  });
  const text = Buffer.from(JSON.stringify(lines));
  return zstdCompressSync(text, { params: WRITE, dictionary: DICTIONARY, pledgedSrcSize: text.length });
}

/** The findings that `encodeFindings` wrote. @throws Error where the bytes are not such */
export function decodeFindings(encoding: string, data: Uint8Array): FindingColumns[] {
  if (encoding !== FINDINGS_ENCODING) throw new Error(`unknown encoding of findings ${encoding}`);
  const text = zstdDecompressSync(data, { dictionary: DICTIONARY, maxOutputLength: MAX_TEXT_BYTES });
  return (JSON.parse(text.toString("utf8")) as Line[]).map(
    ([position, rule, severity, outcome, observed, limit, unit, message, spanFromS, spanToS]) => ({
      position,
      rule,
      severity,
      outcome,
      observed,
      limit,
      unit,
      message,
      spanFromS,
      spanToS,
    }),
  );
}

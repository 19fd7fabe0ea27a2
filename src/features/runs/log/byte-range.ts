import { combineRanges, parse } from "range-parser";
import { Problem } from "../../../platform/problems/problem.js";

/** Longest field `Range` that is read; a longer one is ignored, as a server may. */
const MAX_FIELD_LENGTH = 200;

/** Bytes of a representation, the first and the last of them included. */
export interface ByteRange {
  readonly start: number;
  readonly end: number;
}

/** What a client says of the part that it wants. */
export interface RangeFields {
  readonly range?: string | undefined;
  readonly "if-range"?: string | undefined;
}

/**
 * The part that is asked for by `Range` (RFC 9110, 14.2): null when all of it is sent, because nothing, something
 * malformed, another unit or several separate ranges were asked for, or because `If-Range` names another state of it.
 *
 * @param entityTag strong, of the representation
 * @throws Problem `range-not-satisfiable` when no byte of it is within the range
 */
export function rangeAsked(fields: RangeFields, bytes: number, entityTag: string): ByteRange | null {
  const { range, "if-range": ifRange } = fields;
  if (!range || range.length > MAX_FIELD_LENGTH || (ifRange !== undefined && ifRange.trim() !== entityTag)) return null;
  const { code, type, ranges } = parse(bytes, range);
  const isMalformed = (code & 1) !== 0;
  if (type !== "bytes" || isMalformed || bytes === 0) return null;
  if (ranges.length === 0) {
    throw new Problem("range-not-satisfiable", `The log has ${bytes} bytes. Ask for a range within them.`);
  }
  const [only, ...others] = combineRanges(ranges);
  return only && others.length === 0 ? { start: only.start, end: only.end } : null;
}

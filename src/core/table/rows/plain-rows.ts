import { EXACT_MANTISSA, MAX_DECIMALS, POWERS_OF_TEN } from "../cells/cells.js";

const LF = 0x0a;
const CR = 0x0d;
const QUOTE = 0x22;
const SPACE = 0x20;
const MINUS = 0x2d;
const ZERO = 0x30;
/** Every integer of so many digits fits into 31 bits, in which it is gathered fastest. */
const SHORT_DIGITS = 9;

/** A table whose wanted cells may be plain numbers. */
export interface PlainTable {
  readonly delimiter: number;
  readonly decimalMark: number;
  /** For each column up to the last wanted one, which wanted column it is; -1 for none. */
  readonly slotAt: Int32Array;
  /** What is subtracted from each wanted column before it is rounded to a double; integers. */
  readonly origins: Float64Array;
  /** Room for the cells: those of wanted column `slot` begin at `slot * rowsLimit`. */
  readonly cells: Float64Array;
  readonly lines: Uint32Array;
  readonly rowsLimit: number;
  /** Cells that a row has at most. */
  readonly width: number;
  /** The wanted column whose cells are clock readings; -1 for none. */
  readonly clockSlot: number;
}

/** How far a text has been read. */
export interface Cursor {
  at: number;
  /** Line of the text that begins at `at`. */
  line: number;
  rows: number;
  /** Lines that ended in CRLF. */
  crlf: number;
  /** Clock readings h:m:s read so far, without and with a fraction. */
  readonly clocks: { whole: number; fractions: number };
}

/** How far lines may be read without looking for the end of the bytes: a line that begins before it ends in an LF or before one. */
export const endOfWholeLines = (bytes: Uint8Array, until: number): number => Math.min(until, bytes.lastIndexOf(LF) + 1);

/**
 * Reads rows from `cursor.at` for as long as they are plain: every wanted cell empty or a number of digits with an
 * optional minus and decimal mark, no quotes, no more cells than columns, and LF or CRLF at the end. Stops at the first line that is not, or begins
 * at `end` or later. What it reads is what the general way reads, to the last bit: an exact integer divided
 * once by an exact power of ten is correctly rounded (IEEE 754).
 *
 * @param end as of `endOfWholeLines`
 */
export function readPlainRows(bytes: Uint8Array, end: number, table: PlainTable, cursor: Cursor): void {
  const { delimiter, decimalMark, slotAt, origins, cells, lines, rowsLimit, width } = table;
  const columns = slotAt.length;
  let { at, line, rows, crlf } = cursor;
  reading: while (at < end && rows < rowsLimit) {
    let next = at;
    let byte = 0;
    for (let column = 0; column < columns; column++) {
      const slot = slotAt[column] as number;
      if (slot < 0) {
        byte = bytes[next++] as number;
        while (byte !== delimiter && byte !== LF && byte !== CR && byte !== QUOTE) {
          byte = bytes[next++] as number;
        }
        if (byte !== delimiter) break reading;
        continue;
      }
      byte = bytes[next++] as number;
      while (byte === SPACE) byte = bytes[next++] as number;
      const negative = byte === MINUS;
      if (negative) byte = bytes[next++] as number;
      const start = next;
      let short = 0;
      let digit = byte - ZERO;
      while (digit >>> 0 < 10) {
        short = (Math.imul(short, 10) + digit) | 0;
        digit = (bytes[next++] as number) - ZERO;
      }
      let digits = next - start;
      let decimals = 0;
      byte = digit + ZERO;
      if (byte === decimalMark && digits > 0) {
        const afterMark = next;
        digit = (bytes[next++] as number) - ZERO;
        while (digit >>> 0 < 10) {
          short = (Math.imul(short, 10) + digit) | 0;
          digit = (bytes[next++] as number) - ZERO;
        }
        decimals = next - afterMark - 1;
        digits += decimals;
        byte = digit + ZERO;
      }
      const isLast = column === columns - 1;
      if (byte !== delimiter && !(isLast && (byte === LF || byte === CR))) break reading;
      let value = Number.NaN;
      if (digits > 0) {
        let mantissa = short;
        if (digits > SHORT_DIGITS) {
          mantissa = longMantissa(bytes, start - 1, next - 1);
          if (mantissa >= EXACT_MANTISSA || decimals > MAX_DECIMALS) break reading;
        }
        const power = POWERS_OF_TEN[decimals] as number;
        const origin = origins[slot] as number;
        if (origin !== 0) {
          if (negative) break reading;
          mantissa -= origin * power;
        }
        value = mantissa / power;
        if (negative) value = -value;
      } else if (negative || slot === 0) break reading;
      cells[slot * rowsLimit + rows] = value;
    }
    let seen = columns;
    while (byte !== LF && byte !== CR && byte !== QUOTE) {
      if (byte === delimiter) seen++;
      byte = bytes[next++] as number;
    }
    if (seen > width) break;
    if (byte === CR) {
      if (bytes[next] !== LF) break;
      next++;
      crlf++;
    } else if (byte !== LF) break;
    lines[rows++] = line++;
    at = next;
    // Written with each row: what stands behind the loop alone keeps the engine from compiling it for good.
    cursor.at = at;
    cursor.line = line;
    cursor.rows = rows;
    cursor.crlf = crlf;
  }
}

/** The digits in `bytes[from, to)` as one integer, whatever stands between them. */
export function longMantissa(bytes: Uint8Array, from: number, to: number): number {
  let mantissa = 0;
  for (let at = from; at < to; at++) {
    const digit = (bytes[at] as number) - ZERO;
    if (digit >= 0 && digit <= 9) mantissa = mantissa * 10 + digit;
  }
  return mantissa;
}

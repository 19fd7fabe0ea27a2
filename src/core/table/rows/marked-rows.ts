import { EXACT_MANTISSA, MAX_DECIMALS, POWERS_OF_TEN } from "../cells/cells.js";
import { type Cursor, longMantissa, type PlainTable } from "./plain-rows.js";

const LF = 0x0a;
const CR = 0x0d;
const QUOTE = 0x22;
const SPACE = 0x20;
const MINUS = 0x2d;
const POINT = 0x2e;
const COMMA = 0x2c;
const ZERO = 0x30;
const COLON = 0x3a;
/** Every integer of so many digits fits into 31 bits, in which it is gathered fastest. */
const SHORT_DIGITS = 9;

/**
 * The rows that `readPlainRows` reads, and those with quotes or a clock, which it is too much for: every wanted cell empty, or a number of digits with an
 * optional minus and decimal mark, or a clock reading h:m:s; in quotes or not; no more cells than columns; and LF or CRLF at the
 * end. Stops at the first line that is not, or begins at `end` or later. What it reads is what the general way
 * reads, to the last bit: an exact integer divided once by an exact power of ten is correctly rounded (IEEE 754).
 *
 * @param end as of `endOfWholeLines`
 */
export function readMarkedRows(bytes: Uint8Array, end: number, table: PlainTable, cursor: Cursor): void {
  const { delimiter, decimalMark, slotAt, origins, cells, lines, rowsLimit, width, clockSlot } = table;
  const columns = slotAt.length;
  const markIsDelimiter = decimalMark === delimiter;
  let { at, line, rows, crlf } = cursor;
  const { clocks } = cursor;
  reading: while (at < end && rows < rowsLimit) {
    let next = at;
    let byte = 0;
    let hasFraction = 0;
    for (let column = 0; column < columns; column++) {
      const slot = slotAt[column] as number;
      const isLast = column === columns - 1;
      if (slot < 0) {
        byte = bytes[next++] as number;
        if (byte === QUOTE) {
          byte = bytes[next++] as number;
          while (byte !== QUOTE && byte !== LF && byte !== CR) byte = bytes[next++] as number;
          if (byte !== QUOTE) break reading;
          byte = bytes[next++] as number;
        } else
          while (byte !== delimiter && byte !== LF && byte !== CR && byte !== QUOTE) byte = bytes[next++] as number;
        if (byte !== delimiter) break reading;
        continue;
      }
      byte = bytes[next++] as number;
      const quoted = byte === QUOTE;
      if (quoted) byte = bytes[next++] as number;
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
      byte = digit + ZERO;
      let value = Number.NaN;
      if (slot === clockSlot) {
        // h:m:s with one or two digits each, and a fraction behind a point or comma.
        if (negative || byte !== COLON || digits < 1 || digits > 2) break reading;
        const hours = short;
        const m1 = (bytes[next] as number) - ZERO;
        const m2 = (bytes[next + 1] as number) - ZERO;
        const s1 = (bytes[next + 3] as number) - ZERO;
        const s2 = (bytes[next + 4] as number) - ZERO;
        const isTwoByTwo = m1 >>> 0 < 6 && m2 >>> 0 < 10 && bytes[next + 2] === COLON && s1 >>> 0 < 6 && s2 >>> 0 < 10;
        if (!isTwoByTwo) break reading;
        next += 5;
        value = hours * 3600 + (m1 * 10 + m2) * 60 + s1 * 10 + s2;
        byte = bytes[next++] as number;
        if ((byte === POINT || byte === COMMA) && (quoted || byte !== delimiter)) {
          const from = next;
          let fraction = 0;
          digit = (bytes[next++] as number) - ZERO;
          while (digit >>> 0 < 10) {
            fraction = (Math.imul(fraction, 10) + digit) | 0;
            digit = (bytes[next++] as number) - ZERO;
          }
          const decimals = next - from - 1;
          if (decimals < 1 || decimals > SHORT_DIGITS) break reading;
          value += fraction / (POWERS_OF_TEN[decimals] as number);
          byte = digit + ZERO;
          hasFraction = 1;
        }
      } else {
        let decimals = 0;
        if (byte === decimalMark && digits > 0 && (quoted || !markIsDelimiter)) {
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
      }
      if (quoted) {
        if (byte !== QUOTE) break reading;
        byte = bytes[next++] as number;
      }
      if (byte !== delimiter && !(isLast && (byte === LF || byte === CR))) break reading;
      cells[slot * rowsLimit + rows] = value;
    }
    let cellsSeen = columns;
    while (byte !== LF && byte !== CR && byte !== QUOTE) {
      if (byte === delimiter) cellsSeen++;
      byte = bytes[next++] as number;
    }
    if (cellsSeen > width) break;
    if (byte === CR) {
      if (bytes[next] !== LF) break;
      next++;
      crlf++;
    } else if (byte !== LF) break;
    if (clockSlot >= 0) {
      clocks.fractions += hasFraction;
      clocks.whole += 1 - hasFraction;
    }
    lines[rows++] = line++;
    at = next;
    // Written with each row: what stands behind the loop alone keeps the engine from compiling it for good.
    cursor.at = at;
    cursor.line = line;
    cursor.rows = rows;
    cursor.crlf = crlf;
  }
}

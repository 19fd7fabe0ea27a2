const LF = 10;
const MINUS = 45;
const POINT = 46;
const ZERO = 48;
const POWERS_OF_TEN = Float64Array.from({ length: 16 }, (_, power) => 10 ** power);

/**
 * The least that reading such a log costs in this language: one loop over the bytes of exactly this file, every cell a plain
 * number with a decimal point, every row four of them, into arrays of the right size. It checks nothing, finds nothing and
 * reads no other file.
 */
export function readAtTheFloor(bytes: Uint8Array, rows: number): readonly Float64Array[] {
  const columns = [0, 1, 2, 3].map(() => new Float64Array(rows));
  const [time, voltage, current, temperature] = columns as [Float64Array, Float64Array, Float64Array, Float64Array];
  let at = bytes.indexOf(LF) + 1;
  for (let cell = 0; cell < 4 * rows; cell++) {
    let byte = bytes[at++] as number;
    const negative = byte === MINUS;
    if (negative) byte = bytes[at++] as number;
    let mantissa = 0;
    while (byte >= ZERO) {
      mantissa = mantissa * 10 + (byte - ZERO);
      byte = bytes[at++] as number;
    }
    if (byte === POINT) {
      const mark = at;
      byte = bytes[at++] as number;
      while (byte >= ZERO) {
        mantissa = mantissa * 10 + (byte - ZERO);
        byte = bytes[at++] as number;
      }
      mantissa /= POWERS_OF_TEN[at - mark - 1] as number;
    }
    const value = negative ? -mantissa : mantissa;
    const row = cell >> 2;
    const column = cell & 3;
    if (column === 0) time[row] = value;
    else if (column === 1) voltage[row] = value;
    else if (column === 2) current[row] = value;
    else temperature[row] = value;
  }
  return columns;
}

/** Of PostgreSQL's type integer. */
const INTEGER_OID = 23;
/** Dimensions, whether one is null, the type of the elements; then the length of the one dimension and its first index. */
const HEADER_FIELDS = 5;
const FIELD_BYTES = 4;
const FIRST_INDEX = 1;

/**
 * Integers as a parameter of the type integer[], in the form in which PostgreSQL sends and receives it as bytes: tens of thousands of them as text would
 * cost the client and the server more than what is done with them. The client sends a buffer as bytes.
 *
 * The form is that of `array_send` and `array_recv` (PostgreSQL, src/backend/utils/adt/arrayfuncs.c; from memory): big endian, before each
 * element its length.
 */
export function integersOf(numbers: Int32Array): Buffer {
  const fields = new DataView(new ArrayBuffer(FIELD_BYTES * (HEADER_FIELDS + 2 * numbers.length)));
  const header = [1, 0, INTEGER_OID, numbers.length, FIRST_INDEX];
  header.forEach((value, i) => {
    fields.setInt32(FIELD_BYTES * i, value);
  });
  for (let i = 0; i < numbers.length; i++) {
    const at = FIELD_BYTES * (HEADER_FIELDS + 2 * i);
    fields.setInt32(at, FIELD_BYTES);
    fields.setInt32(at + FIELD_BYTES, numbers[i] as number);
  }
  return Buffer.from(fields.buffer);
}

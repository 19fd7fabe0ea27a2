// Control characters have no place in a name, and a database of text cannot hold NUL. Format characters (Cf: marks of
// writing direction, invisible ones), line and paragraph separators, fillers and private characters let one name pass for another.
const UNSEEN = String.raw`\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Co}\p{Cn}\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0\ufe00-\ufe0f`;

/** Text of one line without control characters or invisible ones. */
export const SINGLE_LINE = new RegExp(`^[^${UNSEEN}]*$`, "u");

/** Text without white space at both ends, equal letters in one spelling (Unicode NFC); anything else as it is. */
export function tidyText(value: unknown): unknown {
  return typeof value === "string" ? value.trim().normalize("NFC") : value;
}

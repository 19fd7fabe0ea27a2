/** What a name may hold that changes how the text around it is shown: control characters, and those that set the direction of writing. */
const UNSHOWN = /[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Cn}\u2028\u2029]/gu;

/** A name as plain text in one line: without control, direction and unassigned characters. */
export const plainText = (text: string): string => text.replaceAll(/\s+/g, " ").replaceAll(UNSHOWN, "").trim();

const ENTITIES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" };

/** Text as character data or an attribute of XML (XML 1.0, 2.4). */
export const escapeXml = (text: string): string =>
  plainText(text).replaceAll(/[&<>"']/g, (character) => ENTITIES[character] as string);

/** Widths of characters in Noto Sans as shares of the font's size, from above: what is drawn elsewhere may be wider. */
const NARROW = /[iljtfrI.,:;'|!()[\] ]/;
const WIDE = /[mwMW@%]/;
const CAPITAL = /[A-Z]/;
const FULL_WIDTH = /[\u1100-\u115f\u2e80-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\u{1f000}-\u{3ffff}]/u;

/** About how wide a text is drawn, px. */
export function widthOf(text: string, size: number): number {
  let width = 0;
  for (const character of text)
    width += FULL_WIDTH.test(character)
      ? 1.05
      : NARROW.test(character)
        ? 0.36
        : WIDE.test(character)
          ? 0.94
          : CAPITAL.test(character)
            ? 0.68
            : 0.59;
  return width * size;
}

/** The text, cut with an ellipsis where it is wider than `most` px. */
export function fitted(text: string, size: number, most: number): string {
  const plain = plainText(text);
  if (widthOf(plain, size) <= most) return plain;
  const characters = [...new Intl.Segmenter("en").segment(plain)].map(({ segment }) => segment);
  while (characters.length > 1 && widthOf(`${characters.join("")}…`, size) > most) characters.pop();
  return `${characters.join("").trimEnd()}…`;
}

/** The text in lines of at most `most` px, the last of at most `lines` cut with an ellipsis. */
export function wrapped(text: string, size: number, most: number, lines: number): string[] {
  const found: string[] = [];
  for (const word of plainText(text).split(" ")) {
    const last = found.at(-1);
    const joined = last === undefined ? word : `${last} ${word}`;
    if (last !== undefined && widthOf(joined, size) <= most) found[found.length - 1] = joined;
    else found.push(word);
  }
  const kept = found.slice(0, lines);
  if (found.length > lines) kept[lines - 1] = found.slice(lines - 1).join(" ");
  return kept.map((line) => fitted(line, size, most));
}

import { plainText } from "../text/plain-text.js";

/** What Markdown, or the HTML within it, would take for more than text (CommonMark 0.31, 2.4). */
const MARKUP = /[\\`*_{}[\]<>()#+!|~&:@$^=-]/g;
/** These begin nothing in the midst of a word or number. */
const HARMLESS = /^[\p{L}\p{N} .,%/°±:+()-]*$/u;

/** A name as text alone: nothing of it is a link, markup or the end of a cell. */
export function markdownText(text: string): string {
  const plain = plainText(text);
  if (HARMLESS.test(plain) && !/:\/\/|^[+-]|www\./i.test(plain)) return plain;
  return plain.replaceAll(MARKUP, (character) =>
    character === "@" ? "&#64;" : character === ":" ? "&#58;" : `\\${character}`,
  );
}

/** A table that can be pasted into a forum post (GitHub Flavored Markdown, 4.10): the first column to the left, the others to the right. */
export function markdownTable(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  const rule = header.map((_, i) => (i === 0 ? "---" : "---:"));
  return [header, rule, ...rows].map(line).join("\n");
}

import { element, escaped } from "./svg.js";

/** Width in px of a text in a font of a size, as the picture will be drawn. */
export type MeasureText = (text: string, sizePx: number, isBold: boolean) => number;

export interface TextStyle {
  readonly size: number;
  readonly bold?: boolean;
  readonly colour?: string;
}

export const INK = "#222222";
export const FAINT_INK = "#555555";

const ELLIPSIS = "…";

/** The longest beginning of a text that fits a width, with an ellipsis where something is left out. */
export function fitted(text: string, width: number, { size, bold = false }: TextStyle, measure: MeasureText): string {
  if (measure(text, size, bold) <= width) return text;
  const letters = [...new Intl.Segmenter("en").segment(text)].map(({ segment }) => segment);
  let [low, high] = [0, letters.length];
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (measure(letters.slice(0, middle).join("").trimEnd() + ELLIPSIS, size, bold) <= width) low = middle;
    else high = middle - 1;
  }
  return letters.slice(0, low).join("").trimEnd() + ELLIPSIS;
}

/**
 * A text in lines that fit a width, broken at spaces, within a word that is longer than a line, and ended by an ellipsis where
 * more lines would be needed than there may be.
 */
export function wrapped(text: string, width: number, style: TextStyle, lines: number, measure: MeasureText): string[] {
  const fits = (one: string) => measure(one, style.size, style.bold ?? false) <= width;
  const made: string[] = [];
  let rest = text;
  while (rest !== "" && made.length < lines - 1 && !fits(rest)) {
    const cut = longestLine(rest, fits);
    made.push(rest.slice(0, cut).trimEnd());
    rest = rest.slice(cut).trimStart();
  }
  return rest === "" ? made : [...made, fitted(rest, width, style, measure)];
}

/** Where the first line of a text ends: after its last word that fits, or within a word that would leave half of it empty. */
function longestLine(text: string, fits: (line: string) => boolean): number {
  let end = 0;
  for (const { index, segment } of new Intl.Segmenter("en", { granularity: "grapheme" }).segment(text)) {
    if (!fits(text.slice(0, index + segment.length))) break;
    end = index + segment.length;
  }
  const space = text.lastIndexOf(" ", end);
  return space > end / 2 ? space : Math.max(end, 1);
}

export type Anchor = "start" | "middle" | "end";

/** A line of text with its baseline at y; a white rim keeps it readable over lines. */
export function textLine(
  text: string,
  x: number,
  y: number,
  { size, bold = false, colour = INK }: TextStyle,
  { anchor = "start", rim = false }: { readonly anchor?: Anchor; readonly rim?: boolean } = {},
): string {
  return element(
    "text",
    {
      x,
      y,
      "font-size": size,
      "font-weight": bold ? "bold" : null,
      fill: colour,
      "text-anchor": anchor === "start" ? null : anchor,
      ...(rim ? { stroke: "#ffffff", "stroke-width": 3, "stroke-linejoin": "round", "paint-order": "stroke" } : {}),
    },
    escaped(text),
  );
}

import { type Caption, LICENCE, type Picture } from "./picture.js";
import { element, escaped } from "./svg.js";
import { FAINT_INK, type MeasureText, type TextStyle, textLine, wrapped } from "./text.js";

export const MARGIN = 16;

/** Fonts of one width: the picture fits wherever one of them, or a narrower one, is used. */
const FONTS = "DejaVu Sans, Verdana, sans-serif";

const TITLE: TextStyle = { size: 17, bold: true };
const SUBTITLE: TextStyle = { size: 13, colour: FAINT_INK };
const NOTE: TextStyle = { size: 11, colour: FAINT_INK };

/** What is drawn between title and notes, from a height on. */
export interface Content {
  readonly height: number;
  readonly svg: string;
}

/** A picture with title, subtitle, what it shows, notes, source, date and licence, which grows to what stands in it. */
export function framed(
  { title, subtitle, description, notes, source, date }: Caption,
  width: number,
  measure: MeasureText,
  draw: (top: number) => Content,
): Picture {
  const inner = width - 2 * MARGIN;
  const head = stacked(MARGIN, [
    ...wrapped(title, inner, TITLE, 3, measure).map((line) => [line, TITLE] as const),
    ...wrapped(subtitle, inner, SUBTITLE, 4, measure).map((line) => [line, SUBTITLE] as const),
  ]);
  const content = draw(head.bottom + 8);
  const foot = stacked(head.bottom + 8 + content.height + 6, [
    ...notes.flatMap((note) => wrapped(note, inner, NOTE, 6, measure)).map((line) => [line, NOTE] as const),
    [`${date} · ${LICENCE}`, NOTE],
    ...wrapped(`Source: ${source}`, inner, NOTE, 5, measure).map((line) => [line, NOTE] as const),
  ]);
  const height = Math.ceil(foot.bottom + MARGIN - 4);
  const svg = element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      viewBox: `0 0 ${width} ${height}`,
      width,
      height,
      role: "img",
      "aria-labelledby": "picture-title picture-description",
      "font-family": FONTS,
    },
    element("title", { id: "picture-title" }, escaped(title)),
    element(
      "desc",
      { id: "picture-description" },
      escaped([subtitle, description, ...notes, `${date}, ${LICENCE}, ${source}`].join(" ")),
    ),
    element("rect", { width, height, fill: "#ffffff" }),
    head.svg,
    content.svg,
    foot.svg,
  );
  return { svg: `<?xml version="1.0" encoding="UTF-8"?>\n${svg}\n`, width, height };
}

/** Lines of text one below the other, from a height on. */
function stacked(top: number, lines: readonly (readonly [string, TextStyle])[]): { svg: string; bottom: number } {
  let bottom = top;
  const svg = lines.map(([text, style]) => {
    bottom += style.size * 1.35;
    return textLine(text, MARGIN, bottom - style.size * 0.3, style);
  });
  return { svg: svg.join(""), bottom };
}

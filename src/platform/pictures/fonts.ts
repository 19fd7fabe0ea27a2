import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import opentype from "opentype.js";
import type { MeasureText } from "../../core/pictures/text.js";

const require = createRequire(import.meta.url);

/** The fonts that pictures are drawn with, from a package: no font of the machine is used. */
export const FONT_FILES = ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"].map((name) =>
  require.resolve(`dejavu-fonts-ttf/ttf/${name}`),
);

/** Measures texts by the advance widths of the fonts; what they have no letter for counts as a square. */
export function measureByFonts(): MeasureText {
  const [regular, bold] = FONT_FILES.map((file) => {
    const { buffer, byteOffset, byteLength } = readFileSync(file);
    const font = opentype.parse(buffer.slice(byteOffset, byteOffset + byteLength) as ArrayBuffer);
    const known = new Map<string, number>();
    return (letter: string) => {
      let width = known.get(letter);
      if (width === undefined) {
        const glyph = font.charToGlyph(letter);
        width = glyph.index === 0 ? 1 : (glyph.advanceWidth ?? 0) / font.unitsPerEm;
        known.set(letter, width);
      }
      return width;
    };
  }) as [(letter: string) => number, (letter: string) => number];
  return (text, sizePx, isBold) => {
    const widthOf = isBold ? bold : regular;
    let width = 0;
    for (const letter of text) width += widthOf(letter);
    return width * sizePx;
  };
}

import { SaxesParser } from "saxes";
import type { MeasureText } from "../../../src/core/pictures/text.js";

/** An element of an SVG document with the text directly within it. */
export interface SvgElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  text: string;
}

/** Every element of an SVG document in its order, by a parser that refuses what is not well-formed XML with namespaces. */
export function readSvg(svg: string): SvgElement[] {
  const parser = new SaxesParser({ xmlns: false });
  const elements: SvgElement[] = [];
  const open: SvgElement[] = [];
  parser.on("error", (error) => {
    throw error;
  });
  parser.on("opentag", ({ name, attributes }) => {
    const element = { name, attributes, text: "" };
    elements.push(element);
    open.push(element);
  });
  parser.on("text", (text) => {
    const within = open.at(-1);
    if (within) within.text += text;
  });
  parser.on("closetag", () => open.pop());
  parser.write(svg).close();
  return elements;
}

export interface TextBox {
  readonly text: string;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Where the texts of a picture lie, px: from the top of a capital to a little under the baseline. */
export function textBoxes(elements: readonly SvgElement[], measure: MeasureText): TextBox[] {
  return elements
    .filter(({ name }) => name === "text")
    .map(({ text, attributes }) => {
      const [x, y, size] = [attributes.x, attributes.y, attributes["font-size"]].map(Number) as [
        number,
        number,
        number,
      ];
      const width = measure(text, size, attributes["font-weight"] === "bold");
      const anchor = attributes["text-anchor"] ?? "start";
      const left = x - (anchor === "end" ? width : anchor === "middle" ? width / 2 : 0);
      return { text, left, right: left + width, top: y - size * 0.75, bottom: y + size * 0.1 };
    });
}

/** Pairs of texts that lie over each other. */
export function overlaps(boxes: readonly TextBox[]): string[] {
  return boxes.flatMap((a, i) =>
    boxes
      .slice(i + 1)
      .filter((b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
      .map((b) => `"${a.text}" and "${b.text}"`),
  );
}

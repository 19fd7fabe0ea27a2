import { plainText, UNSHOWN } from "../text/plain-text.js";

type Attributes = Readonly<Record<string, string | number | null>>;

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/** Begin and end of a text whose direction of writing leaves what is around it alone (Unicode Annex 9, 2.4.2). */
const ISOLATES = "\u2068\u2069";
const RIGHT_TO_LEFT =
  /[\p{Script=Hebrew}\p{Script=Arabic}\p{Script=Syriac}\p{Script=Thaana}\p{Script=Nko}\p{Script=Adlam}]/u;

/** A name within a text: where it is written from right to left, what is around it stays in its order. */
export function nameWithin(name: string): string {
  const plain = plainText(name);
  return RIGHT_TO_LEFT.test(plain) ? `${ISOLATES[0]}${plain}${ISOLATES[1]}` : plain;
}

/** Text as XML holds it (XML 1.0, 2.4), without control and direction characters, some of which XML forbids. */
export const escaped = (text: string): string =>
  text
    .replaceAll(UNSHOWN, (character) => (ISOLATES.includes(character) ? character : ""))
    .replaceAll(/[&<>"']/g, (character) => ENTITIES[character] as string);

/** A coordinate to a hundredth of a pixel, so that every machine writes the same. */
export const px = (value: number): number => Math.round(value * 100) / 100 || 0;

/** An element with its attributes, those that are null left out, around what is written already. */
export function element(name: string, attributes: Attributes, ...children: readonly string[]): string {
  const written = Object.entries(attributes).flatMap(([key, value]) => {
    if (value === null) return [];
    return [` ${key}="${typeof value === "number" ? px(value) : escaped(value)}"`];
  });
  const inner = children.join("");
  return inner === "" ? `<${name}${written.join("")}/>` : `<${name}${written.join("")}>${inner}</${name}>`;
}

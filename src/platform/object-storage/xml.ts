import { Parser } from "saxen";

/** The elements of a short document of XML in order, with the text directly within each. */
export interface XmlElement {
  readonly name: string;
  readonly text: string;
}

/** @throws Error when it is not XML */
export function elementsOf(document: string): XmlElement[] {
  const found: { name: string; text: string }[] = [];
  const open: { name: string; text: string }[] = [];
  const parser = new Parser();
  parser.on("openTag", (name) => {
    const element = { name: name.replace(/^.*:/, ""), text: "" };
    found.push(element);
    open.push(element);
  });
  parser.on("text", (text, decode) => {
    const element = open.at(-1);
    if (element) element.text += decode(text);
  });
  parser.on("cdata", (text) => {
    const element = open.at(-1);
    if (element) element.text += text;
  });
  parser.on("closeTag", () => {
    open.pop();
  });
  parser.on("error", (error) => {
    throw error;
  });
  parser.parse(document);
  if (found.length === 0 || open.length > 0) throw new Error("the document is not whole");
  return found;
}

/** The text of the first element of a name; null when there is none. */
export function textOf(elements: readonly XmlElement[], name: string): string | null {
  return elements.find((one) => one.name === name)?.text ?? null;
}

type Child = Node | string | null | false;
type Attributes = Readonly<Record<string, string | number | boolean | null>>;

const SVG = "http://www.w3.org/2000/svg";

/** An element; every string is text and never markup. An attribute that is null or false is left out. */
export function element<K extends keyof HTMLElementTagNameMap>(
  name: K,
  attributes: Attributes = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  return filled(document.createElement(name), attributes, children);
}

export function drawing<K extends keyof SVGElementTagNameMap>(
  name: K,
  attributes: Attributes = {},
  ...children: readonly Child[]
): SVGElementTagNameMap[K] {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled<E extends Element>(made: E, attributes: Attributes, children: readonly Child[]): E {
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== false) made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...children.filter((child) => child !== null && child !== false));
  return made;
}

/** The element of the page with this id. @throws when there is none */
export function byId<E extends HTMLElement = HTMLElement>(id: string): E {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no #${id}`);
  return found as E;
}

/** Puts content into a section and shows it; hides it where there is none. */
export function show(section: HTMLElement, ...content: readonly Child[]): void {
  section.hidden = content.length === 0;
  section.replaceChildren(...content.filter((child) => child !== null && child !== false));
}

/** As `show`, of a choice by radio buttons: who stood in it stands in it again, at what is chosen. */
export function showKeepingChoice(section: HTMLElement, ...content: readonly Child[]): void {
  const isWithin = section.contains(document.activeElement);
  show(section, ...content);
  if (isWithin) section.querySelector<HTMLInputElement>("input:checked")?.focus();
}

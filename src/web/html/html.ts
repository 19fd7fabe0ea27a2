/** Markup that may be sent as it is. */
export class Html {
  constructor(readonly text: string) {}
}

/** What a template takes: text is escaped, markup is not, and nothing is shown for null, undefined and false. */
export type Shown = Html | string | number | null | undefined | false | readonly Shown[];

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/**
 * Makes markup of a template. Every value that is not itself markup becomes text, in content as in a quoted attribute; a value
 * never stands in a name, in an unquoted attribute, or in a script or style, of which pages have none inline.
 */
export function html(parts: TemplateStringsArray, ...values: readonly Shown[]): Html {
  return new Html(parts.reduce((text, part, index) => text + markupOf(values[index - 1]) + part));
}

function markupOf(value: Shown): string {
  if (value === null || value === undefined || value === false) return "";
  if (value instanceof Html) return value.text;
  if (typeof value === "object") return value.map(markupOf).join("");
  return String(value).replace(/[&<>"']/g, (character) => ENTITIES[character] ?? "");
}

/** An address of this service, with its query; what is null, empty or undefined is left out. */
export function address(
  path: string,
  query: Readonly<Record<string, string | number | null | undefined>> = {},
): string {
  const given = Object.entries(query).filter(([, value]) => value !== null && value !== undefined && value !== "");
  const search = new URLSearchParams(given.map(([name, value]): [string, string] => [name, String(value)])).toString();
  return search ? `${path}?${search}` : path;
}

/** What stands before a member's value, by its name; names are those of the program. */
const starts = new Map<string, string>();

/**
 * The canonical JSON (RFC 8785) of plain data with members of the program's own names, as the package `canonicalize` gives it: that makes several lists
 * and sets for each object, which is most of the garbage that storing an evaluation made.
 *
 * @throws Error for what JSON has not: numbers that are not finite, texts that are no Unicode
 */
export function canonicalJson(value: unknown): string {
  if (typeof value === "number" && Number.isFinite(value)) return `${value}`;
  if (typeof value === "string" && value.isWellFormed()) return JSON.stringify(value);
  if (value === null || typeof value === "boolean") return `${value}`;
  if (typeof value !== "object") throw new Error("there is no canonical form of this value");
  let text = "";
  if (Array.isArray(value)) {
    for (const one of value) text += text === "" ? canonicalJson(one) : `,${canonicalJson(one)}`;
    return `[${text}]`;
  }
  const members = value as Readonly<Record<string, unknown>>;
  for (const name of Object.keys(members).sort()) {
    const member = members[name];
    if (member !== undefined) text += `${text === "" ? "" : ","}${startOf(name)}${canonicalJson(member)}`;
  }
  return `{${text}}`;
}

function startOf(name: string): string {
  const known = starts.get(name);
  if (known !== undefined) return known;
  const start = `${canonicalJson(name)}:`;
  starts.set(name, start);
  return start;
}

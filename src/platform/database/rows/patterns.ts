/** A text in a pattern match, whose wildcards stand for themselves. */
export function literally(text: string): string {
  return text.replaceAll(/[\\%_]/g, "\\$&");
}

/** The filter for what contains a text, whatever its case. */
export function containing(text: string) {
  return { contains: literally(text), mode: "insensitive" } as const;
}

/** The filter for what equals a text, whatever its case. */
export function equalIgnoringCase(text: string) {
  return { equals: literally(text), mode: "insensitive" } as const;
}

import { byId } from "../elements.js";

export type Field = HTMLInputElement | HTMLSelectElement;

/** What a field holds, as a run file writes it; null where nothing is entered. */
export function enteredIn({ value, dataset }: Field): string | number | null {
  if (value === "") return null;
  return dataset.kind === "number" ? Number(value) : value;
}

/** Shows what is declared; what a field cannot show leaves it empty. */
export function setField(field: Field, value: unknown): void {
  field.value = typeof value === "string" || typeof value === "number" ? String(value) : "";
}

export const labelOf = (field: Field): string =>
  field.labels?.[0]?.firstChild?.textContent?.replace(/\*\s*$/, "").trim() ?? field.name;

/** Says what is wrong with a field, or that nothing is. */
export function mark(field: Field, message: string): void {
  field.setAttribute("aria-invalid", String(message !== ""));
  byId(`${field.id}-problem`).textContent = message;
}

import type { InputError } from "../inputs/input-error.js";
import type { ChosenLoad } from "../translation/load-law.js";

/** What a reader wants to know of a run, beside what its protocol reads. */
export interface ChosenReadings {
  /** Instants, s from onset. */
  readonly atS: readonly number[];
  readonly spans: readonly { readonly fromS: number; readonly toS: number }[];
  /** V per cell; null for the protocol's own. */
  readonly cutoffVoltsPerCell: number | null;
  /** The load to read it under: a standard load, A, or one of the reader's choice; null for the run's own. */
  readonly load: number | ChosenLoad | null;
}

/** As a reader writes it. */
export interface WrittenReadings {
  readonly at: readonly string[];
  readonly span: readonly string[];
  readonly cutoff: number | null;
  readonly load: string | null;
}

/** Most marks and most spans of one request. */
export const MAX_CHOSEN = 20;

const NUMBER = String.raw`\d{1,7}(?:\.\d{1,6})?`;
const SPAN = new RegExp(`^(${NUMBER})\\.\\.(${NUMBER})$`);
const LOAD = new RegExp(`^(${NUMBER})\\s*(A|W|ohm|mohm|Ω|mΩ)?$`);
const KINDS = {
  A: { kind: "current", factor: 1 },
  W: { kind: "power", factor: 1 },
  ohm: { kind: "resistance", factor: 1 },
  mohm: { kind: "resistance", factor: 0.001 },
  Ω: { kind: "resistance", factor: 1 },
  mΩ: { kind: "resistance", factor: 0.001 },
} as const;

/** Reads what was written: `20`, `10..30`, `80A`, `1200W`, `0.12ohm`; a load without a unit is a standard load. */
export function parseReadings({ at, span, cutoff, load }: WrittenReadings): ChosenReadings | readonly InputError[] {
  const errors: InputError[] = [];
  for (const [pointer, list] of [["/at", at] as const, ["/span", span] as const])
    if (list.length > MAX_CHOSEN) errors.push({ pointer, message: `must be at most ${MAX_CHOSEN} of them` });
  const atS = at.map((text) => {
    if (!new RegExp(`^${NUMBER}$`).test(text.trim()))
      errors.push({ pointer: "/at", message: "must be seconds from the onset of load, such as 20 or 20,45" });
    return Number(text);
  });
  const spans = span.map((text) => {
    const [, from = "", to = ""] = SPAN.exec(text.trim()) ?? [];
    const found = { fromS: Number(from), toS: Number(to) };
    if (from === "" || !(found.toS > found.fromS))
      errors.push({ pointer: "/span", message: "must be seconds from and to, such as 10..30" });
    return found;
  });
  const chosen = load === null ? null : parseLoad(load);
  if (chosen === undefined)
    errors.push({ pointer: "/load", message: "must be a number above 0 with a unit: 80A, 1200W or 0.12ohm" });
  if (errors.length > 0) return errors;
  return { atS, spans, cutoffVoltsPerCell: cutoff, load: chosen ?? null };
}

function parseLoad(text: string): ChosenReadings["load"] | undefined {
  const [, number = "", unit] = LOAD.exec(text.trim()) ?? [];
  const value = Number(number);
  if (number === "" || !(value > 0)) return undefined;
  if (unit === undefined) return value;
  const { kind, factor } = KINDS[unit as keyof typeof KINDS];
  return { kind, value: value * factor };
}

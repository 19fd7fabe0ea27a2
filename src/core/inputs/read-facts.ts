import type { ChoiceFact, Fact, Facts, NumberFact, TextFact } from "./fact.js";
import { type InputError, pointerTo } from "./input-error.js";
import { SINGLE_LINE, tidyText } from "./plain-text.js";

/**
 * Reads declared members from a value of unknown shape.
 *
 * @param facts what is declared
 * @param value what was sent
 * @param pointer JSON pointer (RFC 6901) to `value`, for the errors
 * @param errors receives every problem found, at most one per member
 * @returns the members, those left out as null; of no use when there are errors
 */
export function readFacts<T>(facts: Facts, value: unknown, pointer: string, errors: InputError[]): T {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    errors.push({ pointer, message: "must be an object" });
    return {} as T;
  }
  const sent = value as Readonly<Record<string, unknown>>;
  for (const name of Object.keys(sent)) {
    if (!Object.hasOwn(facts, name)) errors.push({ pointer: pointerTo(pointer, name), message: "is not known here" });
  }
  const read = Object.entries(facts).map(([name, fact]) => [
    name,
    readFact(fact, sent[name], pointerTo(pointer, name), errors),
  ]);
  return Object.fromEntries(read) as T;
}

function readFact(fact: Fact, value: unknown, pointer: string, errors: InputError[]): unknown {
  if (value == null && fact.optional) return null;
  if (fact.kind === "group") return readFacts(fact.members, value, pointer, errors);
  const tidy = fact.kind === "text" ? tidyText(value) : value;
  const message = problemOf(fact, tidy);
  if (message) errors.push({ pointer, message });
  return tidy;
}

function problemOf(fact: TextFact | NumberFact | ChoiceFact, value: unknown): string | null {
  if (fact.kind === "text") return problemOfText(fact, value);
  if (fact.kind === "choice") {
    return fact.values.includes(value as string) ? null : `must be one of: ${fact.values.join(", ")}`;
  }
  return problemOfNumber(fact, value);
}

function problemOfText({ max }: TextFact, value: unknown): string | null {
  if (typeof value !== "string") return "must be a string";
  if (value.length < 1) return "must have at least 1 characters";
  if (value.length > max) return `must have at most ${max} characters`;
  return SINGLE_LINE.test(value) ? null : "must not contain control characters or invisible ones";
}

function problemOfNumber({ kind, min, above, max }: NumberFact, value: unknown): string | null {
  if (typeof value !== "number" || !Number.isFinite(value)) {
    return kind === "integer" ? "must be an integer" : "must be a number";
  }
  if (kind === "integer" && !Number.isInteger(value)) return "must be an integer";
  if (min !== undefined && value < min) return `must be at least ${min}`;
  if (above !== undefined && value <= above) return `must be larger than ${above}`;
  return value > max ? `must be at most ${max}` : null;
}

import { ID } from "@nestjs/graphql";
import { Transform } from "class-transformer";
import { IsIn, IsISO8601, IsString, Matches, MaxLength, MinLength } from "class-validator";
import { SINGLE_LINE, tidyText } from "../../core/inputs/plain-text.js";
import { type FieldOptions, field } from "./field.js";

export interface TextOptions extends FieldOptions {
  /** Fewest characters, after white space at both ends is taken off. Default 1. */
  readonly min?: number;
  readonly max: number;
  readonly pattern?: { readonly source: RegExp; readonly message: string };
  /** Line breaks and tabs are allowed. */
  readonly multiline?: boolean;
}

// Written sentences may hold what joins and colours emoji, but nothing that turns the direction of writing.
const severalLines = /^(?:[^\p{Cc}\p{Bidi_Control}]|[\n\r\t])*$/u;

/** Written text: white space at both ends is taken off, and equal letters get one spelling (Unicode NFC). */
export function StringField({ min = 1, max, pattern, multiline = false, ...options }: TextOptions): PropertyDecorator {
  const allowed = multiline ? severalLines : SINGLE_LINE;
  const schema = {
    type: "string",
    minLength: min,
    maxLength: max,
    ...(pattern ? { pattern: pattern.source.source } : {}),
  };
  return field(() => String, schema, options, [
    Transform(({ value }: { value: unknown }) => tidyText(value)),
    IsString({ message: "must be a string" }),
    MinLength(min, { message: `must have at least ${min} characters` }),
    MaxLength(max, { message: `must have at most ${max} characters` }),
    Matches(allowed, { message: "must not contain control characters or invisible ones" }),
    ...(pattern ? [Matches(pattern.source, { message: pattern.message })] : []),
  ]);
}

/** Text that is taken as it is, to the last space. */
export function SecretField({ min, max, ...options }: FieldOptions & { readonly min: number; readonly max: number }) {
  const schema = { type: "string", minLength: min, maxLength: max, format: "password" };
  return field(() => String, schema, options, [
    IsString({ message: "must be a string" }),
    MinLength(min, { message: `must have at least ${min} characters` }),
    MaxLength(max, { message: `must have at most ${max} characters` }),
  ]);
}

/** One of a few words, spelt alike in both APIs. */
export function EnumField(values: readonly string[], options: FieldOptions): PropertyDecorator {
  const message = `must be one of: ${values.join(", ")}`;
  return field(() => String, { type: "string", enum: [...values] }, options, [IsIn([...values], { message })]);
}

/** An opaque identifier. */
export function IdField(options: FieldOptions): PropertyDecorator {
  const pattern = /^[\x21-\x7e]{1,64}$/;
  return field(() => ID, { type: "string" }, options, [Matches(pattern, { message: "must be an id" })]);
}

/** An instant (RFC 3339); the service answers in UTC. */
export function DateTimeField(options: FieldOptions): PropertyDecorator {
  // Years of four digits: what JavaScript and PostgreSQL read alike.
  const rfc3339 = /^\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d(\.\d{1,9})?([Zz]|[+-]\d\d:\d\d)$/;
  const message = "must be a date and time with its offset, such as 2026-05-02T09:12:00Z (RFC 3339)";
  return field(() => String, { type: "string", format: "date-time" }, options, [
    Matches(rfc3339, { message }),
    IsISO8601({ strict: true }, { message }),
  ]);
}

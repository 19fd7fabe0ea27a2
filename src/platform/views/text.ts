import { ID } from "@nestjs/graphql";
import { Transform } from "class-transformer";
import { IsIn, IsISO8601, IsString, Matches, MaxLength, MinLength, ValidateBy } from "class-validator";
import { FUTURE_MESSAGE, isInFuture } from "../../core/inputs/past.js";
import { SINGLE_LINE, tidyText } from "../../core/inputs/plain-text.js";
import { DateTime, RFC_3339 } from "../graphql/date-time.scalar.js";
import { graphqlEnumOf } from "./enumeration.js";
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

/** One of a closed set of words: as it is in REST, a value of its enumeration in GraphQL. */
export function EnumField(values: readonly string[], options: FieldOptions): PropertyDecorator {
  const message = `must be one of: ${values.join(", ")}`;
  return field(() => graphqlEnumOf(values), { type: "string", enum: [...values] }, options, [
    IsIn([...values], { message }),
  ]);
}

/** An opaque identifier. */
export function IdField(options: FieldOptions): PropertyDecorator {
  const pattern = /^[\x21-\x7e]{1,64}$/;
  return field(() => ID, { type: "string" }, options, [Matches(pattern, { message: "must be an id" })]);
}

interface DateTimeOptions extends FieldOptions {
  /** What lies in the future, by more than clocks and zones differ, is refused. */
  readonly isPast?: boolean;
}

/** An instant (RFC 3339); the service answers in UTC. */
export function DateTimeField({ isPast = false, ...options }: DateTimeOptions): PropertyDecorator {
  const message = "must be a date and time with its offset, such as 2026-05-02T09:12:00Z (RFC 3339)";
  return field(() => DateTime, { type: "string", format: "date-time" }, options, [
    Matches(RFC_3339, { message }),
    IsISO8601({ strict: true }, { message }),
    ...(isPast ? [IsPast()] : []),
  ]);
}

function IsPast(): PropertyDecorator {
  const validate = (value: unknown) => typeof value !== "string" || !isInFuture(value, Date.now());
  return ValidateBy({ name: "isPast", validator: { validate, defaultMessage: () => FUTURE_MESSAGE } });
}

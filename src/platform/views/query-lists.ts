import { ApiProperty, type ApiPropertyOptions } from "@nestjs/swagger";
import { Transform } from "class-transformer";
import { ArrayMaxSize, ArrayMinSize, IsArray, IsOptional, IsString, MaxLength } from "class-validator";

/** Most values of a list in the query of a URL, and the longest of them, characters. */
const MAX_VALUES = 100;
const MAX_LENGTH = 64;

/** Marks a parameter whose list may also be sent as one string. */
export const ALSO_TEXT = "x-also-text";

/** The values of a query parameter that is a list: between commas, repeated, or both (`a,b` and then `c`). */
export function listOf(value: unknown): unknown {
  const split = (one: unknown) => (typeof one === "string" ? one.split(",") : [one]);
  return Array.isArray(value) ? value.flatMap(split) : typeof value === "string" ? split(value) : value;
}

interface QueryListOptions {
  /** What it means. */
  readonly description: string;
  readonly optional?: boolean;
  /** JSON Schema of one value, as far as it says more than that it is a string. */
  readonly items?: Readonly<Record<string, unknown>>;
}

/**
 * A list of strings in the query of a REST URL, white space at their ends taken off. Clients of version 1.0.0 send it as one string, with commas
 * between the values, which the contract goes on taking: to whoever serves it the two are the same.
 */
export function QueryListField({ description, optional = false, items = {} }: QueryListOptions): PropertyDecorator {
  const schema = { type: "array", items: { type: "string", ...items }, [ALSO_TEXT]: true };
  const decorators = [
    ApiProperty({ ...schema, description, required: !optional } as ApiPropertyOptions),
    ...(optional ? [IsOptional()] : []),
    Transform(({ value }: { value: unknown }) => trimmed(listOf(value))),
    IsArray({ message: "must be a list" }),
    ArrayMinSize(1, { message: "must have at least one item" }),
    ArrayMaxSize(MAX_VALUES, { message: `must have at most ${MAX_VALUES} items` }),
    IsString({ each: true, message: "must be strings" }),
    MaxLength(MAX_LENGTH, { each: true, message: `must be strings of at most ${MAX_LENGTH} characters` }),
  ];
  return (target, property) => {
    for (const decorate of decorators) decorate(target, property);
  };
}

const trimmed = (list: unknown): unknown =>
  Array.isArray(list) ? list.map((one) => (typeof one === "string" ? one.trim() : one)) : list;

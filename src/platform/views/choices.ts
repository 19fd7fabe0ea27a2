import { Int } from "@nestjs/graphql";
import { Transform } from "class-transformer";
import { ArrayMaxSize, ArrayMinSize, IsArray, IsIn, IsInt, IsString, Max, MaxLength, Min } from "class-validator";
import { tidyText } from "../../core/inputs/plain-text.js";
import { graphqlEnumOf } from "./enumeration.js";
import { type FieldOptions, field } from "./field.js";
import { listOf } from "./query-lists.js";

/** Most values that are asked for at once. */
const MAX_VALUES = 20;

/** What several values are allowed of: a list in GraphQL; in the query of a URL, between commas or repeated. */
function choices(
  graphqlType: () => unknown,
  items: Readonly<Record<string, unknown>>,
  options: FieldOptions,
  checks: readonly PropertyDecorator[],
): PropertyDecorator {
  const schema = { type: "array", items, maxItems: MAX_VALUES };
  return field(() => [graphqlType()] as never, schema, options, [
    IsArray({ message: "must be a list" }),
    ArrayMinSize(1, { message: "must have at least one item" }),
    ArrayMaxSize(MAX_VALUES, { message: `must have at most ${MAX_VALUES} items` }),
    ...checks,
  ]);
}

/** Some of a closed set of words. */
export function EnumChoices(words: readonly string[], options: FieldOptions): PropertyDecorator {
  return choices(() => graphqlEnumOf(words), { type: "string", enum: [...words] }, options, [
    Transform(({ value }: { value: unknown }) => listOf(value)),
    IsIn([...words], { each: true, message: `must be some of: ${words.join(", ")}` }),
  ]);
}

/** Some integers. */
export function IntChoices({
  min,
  max,
  ...options
}: FieldOptions & { readonly min: number; readonly max: number }): PropertyDecorator {
  const integer = (text: unknown) => (typeof text === "string" && /^-?\d{1,15}$/.test(text) ? Number(text) : text);
  return choices(() => Int, { type: "integer", minimum: min, maximum: max }, options, [
    Transform(({ value }: { value: unknown }) => {
      const list = listOf(value);
      return Array.isArray(list) ? list.map(integer) : list;
    }),
    IsInt({ each: true, message: "must be integers" }),
    Min(min, { each: true, message: `must be at least ${min}` }),
    Max(max, { each: true, message: `must be at most ${max}` }),
  ]);
}

/** Some words, white space at their ends taken off. */
export function StringChoices({ max, ...options }: FieldOptions & { readonly max: number }): PropertyDecorator {
  return choices(() => String, { type: "string", maxLength: max }, options, [
    Transform(({ value }: { value: unknown }) => {
      // A text of several may hold a comma: they come from GraphQL, or each in a parameter of its own.
      const list = Array.isArray(value) ? value : listOf(value);
      return Array.isArray(list) ? list.map(tidyText) : list;
    }),
    IsString({ each: true, message: "must be strings" }),
    MaxLength(max, { each: true, message: `must be strings of at most ${max} characters` }),
  ]);
}

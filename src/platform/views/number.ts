import { Float, Int } from "@nestjs/graphql";
import { Transform } from "class-transformer";
import { IsBoolean, IsInt, IsNumber, Max, Min, ValidateBy } from "class-validator";
import { type FieldOptions, field } from "./field.js";

export interface DecimalOptions extends FieldOptions {
  /** Unit symbol, such as "mAh"; left out for a pure number. */
  readonly unit?: string;
  readonly min?: number;
  /** Limit that the number must be larger than. */
  readonly above?: number;
  readonly max?: number;
  /** The number also comes as text, in the query of a URL. */
  readonly fromText?: boolean;
}

function isAbove(limit: number): PropertyDecorator {
  return ValidateBy({
    name: "isAbove",
    validator: {
      validate: (value: unknown) => typeof value === "number" && value > limit,
      defaultMessage: () => `must be larger than ${limit}`,
    },
  });
}

function atLeast(limit: number): PropertyDecorator {
  return Min(limit, { message: `must be at least ${limit}` });
}

function atMost(limit: number): PropertyDecorator {
  return Max(limit, { message: `must be at most ${limit}` });
}

/** A finite number. */
export function NumberField({
  unit,
  min,
  above,
  max,
  description,
  optional,
  fromText = false,
}: DecimalOptions): PropertyDecorator {
  const schema = {
    type: "number",
    ...(min === undefined ? {} : { minimum: min }),
    ...(above === undefined ? {} : { exclusiveMinimum: above }),
    ...(max === undefined ? {} : { maximum: max }),
  };
  const described = { description: unit ? `${description}, ${unit}` : description, ...(optional ? { optional } : {}) };
  return field(() => Float, schema, described, [
    ...(fromText ? [Transform(({ value }: { value: unknown }) => decimalFromText(value))] : []),
    IsNumber({ allowNaN: false, allowInfinity: false }, { message: "must be a number" }),
    ...(min === undefined ? [] : [atLeast(min)]),
    ...(above === undefined ? [] : [isAbove(above)]),
    ...(max === undefined ? [] : [atMost(max)]),
  ]);
}

export interface WholeOptions extends FieldOptions {
  readonly min: number;
  readonly max: number;
  /** The number also comes as text, in the query of an address. */
  readonly fromText?: boolean;
}

/** A whole number. */
export function IntField({ min, max, fromText = false, ...options }: WholeOptions): PropertyDecorator {
  return field(() => Int, { type: "integer", minimum: min, maximum: max }, options, [
    ...(fromText ? [Transform(({ value }: { value: unknown }) => numberFromText(value))] : []),
    IsInt({ message: "must be an integer" }),
    atLeast(min),
    atMost(max),
  ]);
}

function decimalFromText(value: unknown): unknown {
  return typeof value === "string" && /^-?\d{1,12}(\.\d{1,12})?$/.test(value) ? Number(value) : value;
}

function numberFromText(value: unknown): unknown {
  return typeof value === "string" && /^-?\d{1,15}$/.test(value) ? Number(value) : value;
}

export interface YesNoOptions extends FieldOptions {
  /** The value comes from a query string: "true" and "false" are read as such. */
  readonly fromText?: boolean;
}

const BOOLEAN_WORDS: ReadonlyMap<unknown, boolean> = new Map([
  ["true", true],
  ["false", false],
]);

/** Yes or no. */
export function BooleanField({ fromText = false, ...options }: YesNoOptions): PropertyDecorator {
  return field(() => Boolean, { type: "boolean" }, options, [
    ...(fromText ? [Transform(({ value }: { value: unknown }) => BOOLEAN_WORDS.get(value) ?? value)] : []),
    IsBoolean({ message: "must be true or false" }),
  ]);
}

import type { Type } from "@nestjs/common";
import { Float, ID, Int } from "@nestjs/graphql";
import { Type as TransformTo } from "class-transformer";
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsNumber,
  IsObject,
  IsString,
  MaxLength,
  ValidateNested,
} from "class-validator";
import { JsonObject } from "../graphql/json-object.scalar.js";
import { graphqlEnumOf } from "./enumeration.js";
import { type FieldOptions, field } from "./field.js";

/** An object of its own class. */
export function ObjectField(type: () => Type, options: FieldOptions): PropertyDecorator {
  // The OpenAPI library takes a function for the class itself, unless the function is named `type`, as this one is.
  return field(type, { type: () => type() }, options, [
    IsObject({ message: "must be an object" }),
    ValidateNested({ message: "must be an object" }),
    TransformTo(type),
  ]);
}

export interface ListOptions extends FieldOptions {
  /** Most items that an input may have. Default 100. */
  readonly max?: number;
}

/** A list of objects of one class. */
export function ListField(type: () => Type, { max = 100, ...options }: ListOptions): PropertyDecorator {
  return field(() => [type()], { type: () => type(), isArray: true }, options, [
    IsArray({ message: "must be a list" }),
    ArrayMaxSize(max, { message: `must have at most ${max} items` }),
    ValidateNested({ each: true, message: "must be an object" }),
    TransformTo(type),
  ]);
}

export interface TextsOptions extends ListOptions {
  /** Most characters of a word. Default 200. */
  readonly longest?: number;
}

/** A list of words. */
export function StringListField({ max = 100, longest = 200, ...options }: TextsOptions): PropertyDecorator {
  return field(() => [String], { type: "string", isArray: true }, options, [
    IsArray({ message: "must be a list" }),
    ArrayMaxSize(max, { message: `must have at most ${max} items` }),
    IsString({ each: true, message: "must be a list of strings" }),
    MaxLength(longest, { each: true, message: `must be strings of at most ${longest} characters` }),
  ]);
}

/** A list of opaque identifiers. */
export function IdListField({ max = 100, longest = 64, ...options }: TextsOptions): PropertyDecorator {
  return field(() => [ID], { type: "string", isArray: true }, options, [
    IsArray({ message: "must be a list" }),
    ArrayMaxSize(max, { message: `must have at most ${max} items` }),
    IsString({ each: true, message: "must be a list of ids" }),
    MaxLength(longest, { each: true, message: `must be ids of at most ${longest} characters` }),
  ]);
}

/** At least one of a closed set of words, each at most once. */
export function EnumListField(words: readonly string[], options: FieldOptions): PropertyDecorator {
  const schema = { type: "string", enum: [...words], isArray: true };
  return field(() => [graphqlEnumOf(words)], schema, options, [
    IsArray({ message: "must be a list" }),
    ArrayMinSize(1, { message: "must have at least one item" }),
    ArrayUnique({ message: "must not have an item twice" }),
    IsIn([...words], { each: true, message: `must be a list of some of: ${words.join(", ")}` }),
  ]);
}

/** A list of whole numbers. */
export function IntListField({ max = 100, ...options }: ListOptions): PropertyDecorator {
  return field(() => [Int], { type: "integer", isArray: true }, options, [
    IsArray({ message: "must be a list" }),
    ArrayMaxSize(max, { message: `must have at most ${max} items` }),
    IsInt({ each: true, message: "must be a list of integers" }),
  ]);
}

/** A list of numbers. */
export function NumberListField({ max = 1_000_000, ...options }: ListOptions): PropertyDecorator {
  return field(() => [Float], { type: "number", isArray: true }, options, [
    IsArray({ message: "must be a list" }),
    ArrayMaxSize(max, { message: `must have at most ${max} items` }),
    IsNumber({}, { each: true, message: "must be a list of numbers" }),
  ]);
}

/** An object whose members are not fixed here, such as a published document. */
export function JsonField(options: FieldOptions): PropertyDecorator {
  const schema = { type: "object", additionalProperties: true };
  return field(() => JsonObject, schema, options, [IsObject({ message: "must be an object" })]);
}

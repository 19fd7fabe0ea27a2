import type { Type } from "@nestjs/common";

type JsonSchema = Readonly<Record<string, unknown>>;

/** What one property of an input class was declared with, for the OpenAPI document. */
interface Declared extends Record<string, unknown> {
  readonly type?: unknown;
  readonly isArray?: boolean;
  readonly required?: boolean;
  readonly nullable?: boolean;
}

/** Keys under which the OpenAPI library keeps declared properties: their names, and each one's schema. */
const NAMES = "swagger/apiModelPropertiesArray";
const PROPERTY = "swagger/apiModelProperties";

/** The JSON Schema (2020-12) of an input class, from the same declarations as its validation and the OpenAPI document. */
export function jsonSchemaOf(target: Type): JsonSchema {
  const names = ((Reflect.getMetadata(NAMES, target.prototype) ?? []) as string[]).map((name) => name.slice(1));
  const declared = names.map(
    (name) => [name, Reflect.getMetadata(PROPERTY, target.prototype, name) as Declared] as const,
  );
  return {
    type: "object",
    properties: Object.fromEntries(declared.map(([name, property]) => [name, schemaOf(property)])),
    required: declared.flatMap(([name, { required }]) => (required === false ? [] : [name])),
    additionalProperties: false,
  };
}

function schemaOf({ type, isArray, required: _, nullable, ...rest }: Declared): JsonSchema {
  const own = typeof type === "function" ? jsonSchemaOf((type as () => Type)()) : { type };
  const one = isArray ? { type: "array", items: own } : own;
  const { type: kind, ...more } = { ...one, ...rest };
  return { type: nullable ? [kind, "null"] : kind, ...more };
}

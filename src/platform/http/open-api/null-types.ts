/** OpenAPI 3.1 says "or null" as JSON Schema does, with a list of types. */
export function withNullTypes(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(withNullTypes);
  if (typeof value !== "object" || value === null) return value;
  const { nullable, ...rest } = Object.fromEntries(
    Object.entries(value).map(([name, member]) => [name, withNullTypes(member)]),
  );
  if (nullable !== true) return nullable === undefined ? rest : { ...rest, nullable };
  if (Array.isArray(rest.enum)) rest.enum = [...rest.enum, null];
  if (typeof rest.type === "string") return { ...rest, type: [rest.type, "null"] };
  const { description, ...schema } = rest;
  return { description, anyOf: [...(Array.isArray(rest.allOf) ? rest.allOf : [schema]), { type: "null" }] };
}

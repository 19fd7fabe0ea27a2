/** By these a schema's other parts may declare members of the same object (JSON Schema 2020-12, core, 11.3). */
const COMBINING = ["allOf", "anyOf", "oneOf", "if", "dependentSchemas", "$ref", "$dynamicRef", "patternProperties"];

/**
 * JSON Schemas of answers as a client reads them, with a member that is not declared counted as a fault: every object that
 * declares its members and says nothing of others takes no others.
 */
export function strict(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(strict);
  if (typeof value !== "object" || value === null) return value;
  const members = Object.fromEntries(Object.entries(value).map(([name, member]) => [name, strict(member)]));
  const isClosed = isSchemaMap(members.properties) && !("additionalProperties" in members);
  if (!isClosed) return members;
  // Where no other part can have declared any, both mean the same; the latter takes a fifth less time to compile.
  const others = COMBINING.some((keyword) => keyword in members) ? "unevaluatedProperties" : "additionalProperties";
  return { ...members, [others]: false };
}

/** Whether these are the declared members of a schema, and not a member that is called `properties`. */
function isSchemaMap(value: unknown): boolean {
  return typeof value === "object" && value !== null && !("type" in value && typeof value.type === "string");
}

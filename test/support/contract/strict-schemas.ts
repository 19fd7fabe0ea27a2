/**
 * JSON Schemas of answers as a client reads them, with a member that is not declared counted as a fault: every object that
 * declares its members and says nothing of others takes no others.
 */
export function strict(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(strict);
  if (typeof value !== "object" || value === null) return value;
  const members = Object.fromEntries(Object.entries(value).map(([name, member]) => [name, strict(member)]));
  const isClosed = isSchemaMap(members.properties) && !("additionalProperties" in members);
  return isClosed ? { ...members, unevaluatedProperties: false } : members;
}

/** Whether these are the declared members of a schema, and not a member that is called `properties`. */
function isSchemaMap(value: unknown): boolean {
  return typeof value === "object" && value !== null && !("type" in value && typeof value.type === "string");
}

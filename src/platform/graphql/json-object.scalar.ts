import { GraphQLScalarType } from "graphql";

function onlyObjects(value: unknown): object {
  if (typeof value !== "object" || value === null || Array.isArray(value)) throw new TypeError("must be an object");
  return value;
}

/** A JSON object as REST shows it; inputs give it as a variable. */
export const JsonObject = new GraphQLScalarType({
  name: "JsonObject",
  description: "A JSON object (RFC 8259), as the REST API shows it. As an input it is given in a variable.",
  serialize: onlyObjects,
  parseValue: onlyObjects,
});

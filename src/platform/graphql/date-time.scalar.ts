import { GraphQLScalarType, Kind } from "graphql";

/** Years of four digits: what JavaScript and PostgreSQL read alike. */
export const RFC_3339 = /^\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d(\.\d{1,9})?([Zz]|[+-]\d\d:\d\d)$/;

function instant(value: unknown): string {
  if (typeof value === "string" && RFC_3339.test(value) && !Number.isNaN(Date.parse(value))) return value;
  throw new TypeError("must be a date and time with its offset, such as 2026-05-02T09:12:00Z (RFC 3339)");
}

/** An instant as text, the same in both APIs. */
export const DateTime = new GraphQLScalarType<string, string>({
  name: "DateTime",
  description: "An instant as text (RFC 3339), such as `2026-05-02T09:12:00Z`; the service answers in UTC.",
  specifiedByURL: "https://www.rfc-editor.org/rfc/rfc3339#section-5.6",
  serialize: instant,
  parseValue: instant,
  parseLiteral: (node) => instant(node.kind === Kind.STRING ? node.value : null),
});

import { applyDecorators, Header } from "@nestjs/common";
import { ApiExtension } from "@nestjs/swagger";

/** The member of an operation that says since when it is deprecated. */
export const DEPRECATION = "x-deprecation";

/** What is on its way out. */
export interface Deprecation {
  /** The day since which it is deprecated, such as 2027-01-31. */
  readonly since: string;
  /** The day from which it may be gone; left out while that is not settled. */
  readonly sunset?: string;
  /** What to use in its place. */
  readonly instead: string;
}

/**
 * Deprecates an operation of the REST API: its answers carry `Deprecation` (RFC 9745), `Sunset` (RFC 8594) and a link to the
 * policy, and its description says so.
 */
export function Deprecated(deprecation: Deprecation): MethodDecorator {
  const { since, sunset } = deprecation;
  return applyDecorators(
    // A Date of structured fields (RFC 9651, 3.3.7).
    Header("deprecation", `@${Date.parse(since) / 1000}`),
    ...(sunset ? [Header("sunset", new Date(sunset).toUTCString())] : []),
    Header("link", '</docs>; rel="deprecation"; type="text/html"'),
    ApiExtension(DEPRECATION, { ...deprecation }),
  ) as MethodDecorator;
}

/** The same for a field, an argument or a value of GraphQL, as its `deprecationReason`. */
export function deprecationReason({ since, sunset, instead }: Deprecation): string {
  return `Since ${since}: ${instead}${sunset ? ` It may be gone from ${sunset}.` : ""}`;
}

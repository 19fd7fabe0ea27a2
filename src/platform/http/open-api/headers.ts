/** Header fields of answers, each with its source. */
export const HEADERS = {
  ETag: {
    description: "Names this state of the resource (RFC 9110, 8.8.3); send it as `If-None-Match`",
    required: true,
  },
  CacheControl: { description: "How long caches may keep it (RFC 9111, 5.2)", required: true },
  CacheControlIfSaid: { description: "Whether caches may keep it, where that is said (RFC 9111, 5.2)" },
  SetCookie: { description: "By it the browser that began a sign-in is known when it comes back (RFC 6265, 4.1)" },
  Location: { description: "Where it can be read (RFC 9110, 10.2.2)", required: true },
  RetryAfter: { description: "Seconds after which to try again (RFC 9110, 10.2.3)", required: true, type: "integer" },
  RetryAfterIfInUse: {
    description: "Of `idempotency-key-in-use`: seconds after which to try again (RFC 9110, 10.2.3)",
    type: "integer",
  },
  WWWAuthenticate: { description: "How to authenticate (RFC 9110, 11.6.1; RFC 6750)", required: true },
  WWWAuthenticateIfScope: {
    description:
      'Of `scope-required`: `error="insufficient_scope"`, with the scope where a key may have it (RFC 6750, 3.1)',
  },
  AcceptEncodingIfCoded: { description: "`identity` where the body was compressed as a whole (RFC 9110, 12.5.3)" },
  RateLimit: { description: "What is left of the limit (draft-ietf-httpapi-ratelimit-headers-10)" },
  RateLimitPolicy: { description: "The limit (draft-ietf-httpapi-ratelimit-headers-10)" },
  IdempotencyReplayed: { description: "`?1` when it is the answer that was given before (RFC 9651, 3.3.6)" },
  AcceptRanges: { description: "That ranges of bytes can be had (RFC 9110, 14.3)", required: true },
  ContentRange: { description: "Which bytes of how many it is (RFC 9110, 14.4)", required: true },
  ContentDisposition: { description: "The name of the file (RFC 6266)", required: true },
  ReprDigest: { description: "SHA-256 of the whole, when it is not compressed on its way (RFC 9530)" },
  UnencodedDigest: {
    description:
      "SHA-256 of the whole within, when it is compressed on its way (draft-ietf-httpbis-unencoded-digest-04, from memory)",
  },
  Deprecation: { description: "Since when it is deprecated (RFC 9745)", required: true },
  Sunset: { description: "When it will be removed (RFC 8594)" },
} as const satisfies Record<string, { description: string; required?: boolean; type?: "integer" }>;

export type HeaderName = keyof typeof HEADERS;

const FIELD_NAMES: Readonly<Record<HeaderName, string>> = {
  ETag: "ETag",
  CacheControl: "Cache-Control",
  CacheControlIfSaid: "Cache-Control",
  SetCookie: "Set-Cookie",
  Location: "Location",
  RetryAfter: "Retry-After",
  RetryAfterIfInUse: "Retry-After",
  WWWAuthenticate: "WWW-Authenticate",
  WWWAuthenticateIfScope: "WWW-Authenticate",
  AcceptEncodingIfCoded: "Accept-Encoding",
  RateLimit: "RateLimit",
  RateLimitPolicy: "RateLimit-Policy",
  IdempotencyReplayed: "Idempotency-Replayed",
  AcceptRanges: "Accept-Ranges",
  ContentRange: "Content-Range",
  ContentDisposition: "Content-Disposition",
  ReprDigest: "Repr-Digest",
  UnencodedDigest: "Unencoded-Digest",
  Deprecation: "Deprecation",
  Sunset: "Sunset",
};

/** Header fields of a response, described once in the components. */
export function headersOf(...names: readonly HeaderName[]): Record<string, { $ref: string }> {
  return Object.fromEntries(names.map((name) => [FIELD_NAMES[name], { $ref: `#/components/headers/${name}` }]));
}

/** The components that `headersOf` refers to, as far as some operation or problem gives them. */
export function headerComponents(...users: readonly object[]): Record<string, object> {
  const used = JSON.stringify(users);
  return Object.fromEntries(
    Object.entries(HEADERS).flatMap(([name, header]) => {
      if (!used.includes(`"#/components/headers/${name}"`)) return [];
      const { description, required = false, type = "string" } = { required: undefined, type: undefined, ...header };
      return [[name, { description, required: required ?? false, schema: { type: type ?? "string" } }]];
    }),
  );
}

import { PROBLEMS, type ProblemCode } from "../../problems/catalogue.js";
import { type HeaderName, headersOf } from "./headers.js";
import type { Method, Operation } from "./operation.js";
import { PROBLEM_CODES } from "./refuses.js";

/** Whatever is asked, and by whomever. */
const EVERYWHERE: readonly ProblemCode[] = [
  "malformed-request",
  "invalid-session",
  "scope-required",
  "invalid-input",
  "too-many-requests",
  "internal-error",
  "not-ready",
];

/** Of reads. */
const OF_READS: readonly ProblemCode[] = ["read-time-limit"];

/** Of what is no read. */
const OF_CHANGES: readonly ProblemCode[] = [
  "account-suspended",
  "malformed-body",
  "precondition-failed",
  "too-large",
  "unsupported-media-type",
  "storage-unavailable",
];

const OF_POSTS: readonly ProblemCode[] = [
  "invalid-idempotency-key",
  "idempotency-key-in-use",
  "idempotency-key-reused",
];

/** The codes of all problems that an operation can answer with: those that it declares, and those that follow from its form. */
export function problemCodesOf(method: Method, operation: Operation): ProblemCode[] {
  const { parameters = [], responses, security = [] } = operation;
  const declared = (operation[PROBLEM_CODES] ?? []) as readonly ProblemCode[];
  const isIn = (place: string) => parameters.some((parameter) => parameter.in === place);
  const givesNothing = Object.keys(responses).every((status) => status === "204");
  const needsSession = security.length > 0 && security.every((one) => Object.keys(one).length > 0);
  return [
    ...new Set([
      ...EVERYWHERE,
      ...declared,
      ...(method === "get" ? OF_READS : OF_CHANGES),
      ...(method === "post" ? OF_POSTS : []),
      ...(isIn("path") ? (["not-found", "address-too-long"] as const) : []),
      ...(parameters.some(({ name }) => name === "after") ? (["invalid-cursor"] as const) : []),
      ...(needsSession ? (["session-required"] as const) : []),
      ...(givesNothing ? [] : (["not-acceptable"] as const)),
    ]),
  ].sort();
}

/** Header fields of every problem, and of those of a status; an answer that an idempotency key gives again says so. */
const HEADERS_OF_ALL: readonly HeaderName[] = ["CacheControl", "RateLimit", "RateLimitPolicy"];
const HEADERS_OF_STATUS: Readonly<Record<number, readonly HeaderName[]>> = {
  400: ["IdempotencyReplayed"],
  401: ["WWWAuthenticate"],
  403: ["WWWAuthenticateIfScope"],
  409: ["RetryAfterIfInUse", "IdempotencyReplayed"],
  413: ["IdempotencyReplayed"],
  415: ["AcceptEncodingIfCoded", "IdempotencyReplayed"],
  416: ["ContentRange"],
  422: ["IdempotencyReplayed"],
  429: ["RetryAfter"],
  503: ["RetryAfter"],
  507: ["RetryAfter"],
};

const NAMES: Readonly<Record<number, string>> = {
  400: "BadRequest",
  401: "Unauthorized",
  403: "Forbidden",
  404: "NotFound",
  406: "NotAcceptable",
  409: "Conflict",
  410: "Gone",
  412: "PreconditionFailed",
  413: "ContentTooLarge",
  414: "UriTooLong",
  415: "UnsupportedMediaType",
  416: "RangeNotSatisfiable",
  422: "UnprocessableContent",
  429: "TooManyRequests",
  500: "InternalServerError",
  503: "ServiceUnavailable",
  507: "InsufficientStorage",
};

function nameOf(status: number): string {
  const name = NAMES[status];
  if (!name) throw new Error(`the status ${status} has no response in the description of the API`);
  return name;
}

/** The responses that stand for some codes, by status. */
export function problemResponses(codes: readonly ProblemCode[]): Record<string, object> {
  const byStatus = Map.groupBy(codes, (code) => PROBLEMS[code].status);
  return Object.fromEntries(
    [...byStatus].map(([status, its]) => [
      String(status),
      {
        $ref: `#/components/responses/${nameOf(status)}`,
        description: its.map((code) => `\`${code}\`: ${PROBLEMS[code].title}`).join("; "),
      },
    ]),
  );
}

/** The components that `problemResponses` refers to. */
export function problemComponents(): Record<string, object> {
  const entries = Object.entries(PROBLEMS).filter(([, { status }]) => status in NAMES);
  const byStatus = Map.groupBy(entries, ([, { status }]) => status);
  return Object.fromEntries(
    [...byStatus].map(([status, codes]) => [nameOf(status), responseOf(status, codes[0] as (typeof entries)[number])]),
  );
}

function responseOf(status: number, [code, { title }]: readonly [string, { readonly title: string }]): object {
  const headers = headersOf(...HEADERS_OF_ALL, ...(HEADERS_OF_STATUS[status] ?? []));
  const example = {
    type: `/problems/${code}`,
    title,
    status,
    detail: title.endsWith(".") ? title : `${title}.`,
    instance: "urn:uuid:8e03978e-40d5-43dd-bc93-6894a57f9324",
    code,
  };
  return {
    description: "A problem (RFC 9457); its codes are listed at /problems",
    headers,
    content: { "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" }, example } },
  };
}

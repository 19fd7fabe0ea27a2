/** Every problem that the service can answer with (RFC 9457): its code, status and title. */
export const PROBLEMS = {
  "malformed-request": { status: 400, title: "The request is malformed" },
  "malformed-body": { status: 400, title: "The body is not readable JSON" },
  "malformed-multipart": { status: 400, title: "The multipart body is malformed" },
  "malformed-query": { status: 400, title: "The GraphQL document is not valid" },
  "invalid-cursor": { status: 400, title: "The cursor is not one that this list gave out" },
  "invalid-idempotency-key": { status: 400, title: "The idempotency key cannot be read" },
  "session-required": { status: 401, title: "This needs a session" },
  "invalid-session": { status: 401, title: "The session is unknown or has expired" },
  "wrong-credentials": { status: 401, title: "The handle or the password is wrong" },
  "role-required": { status: 403, title: "This needs another role" },
  "not-found": { status: 404, title: "There is nothing here" },
  "method-not-allowed": { status: 405, title: "The method is not allowed here" },
  "not-acceptable": { status: 406, title: "None of the accepted media types can be given" },
  "request-timeout": { status: 408, title: "The request took too long to arrive" },
  "already-exists": { status: 409, title: "It exists already" },
  "idempotency-key-in-use": { status: 409, title: "The first request with this idempotency key is still at work" },
  "limit-reached": { status: 409, title: "There are as many as there may be" },
  "too-large": { status: 413, title: "The request is too large" },
  "address-too-long": { status: 414, title: "The address is too long" },
  "unsupported-media-type": { status: 415, title: "The media type is not supported" },
  "invalid-input": { status: 422, title: "The input does not fit its description" },
  "unknown-reference": { status: 422, title: "The input refers to something that does not exist" },
  "idempotency-key-reused": { status: 422, title: "The idempotency key belongs to another request" },
  "log-empty": { status: 422, title: "The log is empty" },
  "log-not-text": { status: 422, title: "The log is not text" },
  "log-damaged": { status: 422, title: "The log is damaged" },
  "log-too-large": { status: 413, title: "The log is too large to evaluate" },
  "log-shape-unknown": { status: 422, title: "No table can be read from the log" },
  "log-header-missing": { status: 422, title: "The log has no header row" },
  "log-column-missing": { status: 422, title: "The log lacks a column" },
  "log-column-ambiguous": { status: 422, title: "Several columns of the log could be meant" },
  "log-unit-missing": { status: 422, title: "The unit of a column is not known" },
  "log-no-load": { status: 422, title: "The log shows no load" },
  "log-too-short": { status: 422, title: "The log is too short" },
  "run-not-conforming": { status: 409, title: "The run does not conform" },
  "decision-not-possible": { status: 409, title: "The decision is not possible now" },
  "headers-too-large": { status: 431, title: "The header fields are too large" },
  "internal-error": { status: 500, title: "The service made a mistake" },
  "too-many-listeners": { status: 503, title: "Too many are listening" },
  "not-ready": { status: 503, title: "The service is not ready" },
} as const satisfies Record<string, { readonly status: number; readonly title: string }>;

export type ProblemCode = keyof typeof PROBLEMS;

export function isProblemCode(text: string): text is ProblemCode {
  return Object.hasOwn(PROBLEMS, text);
}

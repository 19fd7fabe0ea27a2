import { HttpException } from "@nestjs/common";
import { isDatabaseUnavailable, isEndedByTimeLimit, isStorageUnavailable } from "../database/errors.js";
import { ObjectStorageUnavailable } from "../object-storage/unavailable.js";
import type { ProblemCode } from "./catalogue.js";
import { Problem } from "./problem.js";

const CODE_OF_STATUS: Readonly<Record<number, ProblemCode>> = {
  400: "malformed-request",
  404: "not-found",
  405: "method-not-allowed",
  406: "not-acceptable",
  408: "request-timeout",
  413: "too-large",
  414: "address-too-long",
  415: "unsupported-media-type",
  431: "headers-too-large",
};

/** Codes of the web framework whose status alone would say too little. */
const CODE_OF_FRAMEWORK_ERROR: Readonly<Record<string, ProblemCode>> = {
  FST_ERR_CTP_INVALID_JSON_BODY: "malformed-body",
  FST_ERR_CTP_EMPTY_JSON_BODY: "malformed-body",
  FST_ERR_CTP_INVALID_MEDIA_TYPE: "unsupported-media-type",
  FST_ERR_VALIDATION: "malformed-request",
  FST_INVALID_MULTIPART_CONTENT_TYPE: "unsupported-media-type",
};

/** The problem that an error of the frameworks stands for; null when it is a fault of the service itself. */
export function toProblem(error: unknown): Problem | null {
  if (error instanceof Problem) return error;
  if (!(error instanceof Error)) return null;
  if (isDatabaseUnavailable(error)) {
    const detail = "The database does not answer at the moment. Send the same again in a few seconds.";
    return new Problem("not-ready", detail, { cause: error });
  }
  if (error instanceof ObjectStorageUnavailable) {
    const detail = "The storage of the dataset cannot be used at the moment. Send the same again in half a minute.";
    return new Problem("not-ready", detail, { extensions: { retryAfterSeconds: 30 }, cause: error });
  }
  if (isEndedByTimeLimit(error)) {
    const detail = "The database was too long at it. Ask for less at once, or later.";
    return new Problem("read-time-limit", detail, { cause: error });
  }
  if (isStorageUnavailable(error)) {
    const detail = "There is no room to store it. Send the same again later; nothing of it was stored.";
    return new Problem("storage-unavailable", detail, { cause: error });
  }
  const { code: frameworkCode, statusCode } = error as Error & { code?: unknown; statusCode?: unknown };
  if (typeof frameworkCode === "string") {
    const known = CODE_OF_FRAMEWORK_ERROR[frameworkCode];
    if (known) return new Problem(known, detailOf(known, error), { cause: error });
  }
  const status = error instanceof HttpException ? error.getStatus() : statusCode;
  if (typeof status !== "number" || status < 400 || status > 499) return null;
  const code = error instanceof SyntaxError ? "malformed-body" : CODE_OF_STATUS[status];
  return new Problem(code ?? "malformed-request", detailOf(code, error), { cause: error });
}

/** What to send, where the framework only says that it does not take what was sent. */
function detailOf(code: ProblemCode | undefined, { message }: Error): string {
  return code === "unsupported-media-type"
    ? "Send JSON as application/json, and what has a log with it as multipart/form-data."
    : sentence(message);
}

function sentence(message: string): string {
  return /[.!?]$/.test(message) ? message : `${message}.`;
}

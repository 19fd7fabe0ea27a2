import { LIKENESSES } from "../../../core/register/likeness.js";
import { SCOPES } from "../../auth/account.js";
import { WAITED_FOR } from "../../health/readiness.js";
import { PROBLEMS } from "../../problems/catalogue.js";

const EXISTING = "01a2122e-e1a4-753d-899e-c914096834c6";

/** Every member of a problem (RFC 9457). */
export const PROBLEM_SCHEMA = {
  type: "object",
  description: "What went wrong, where, and how to mend it (RFC 9457)",
  required: ["type", "title", "status", "detail", "code"],
  properties: {
    type: { type: "string", format: "uri-reference", description: "Where the problem is described" },
    title: { type: "string", description: "The kind of problem, the same each time" },
    status: { type: "integer", minimum: 400, maximum: 599, description: "The status of the answer" },
    detail: { type: "string", description: "What happened this time and how to mend it" },
    instance: { type: "string", format: "uri", description: "This occurrence, to be told when it is reported" },
    code: { type: "string", enum: Object.keys(PROBLEMS), description: "The kind of problem, for programs" },
    errors: {
      type: "array",
      description: "Each fault of the input, with its place",
      items: {
        type: "object",
        required: ["message"],
        properties: {
          pointer: { type: "string", format: "json-pointer", description: "Member or parameter (RFC 6901)" },
          line: { type: "integer", minimum: 1, description: "Line of the log" },
          column: { type: "integer", minimum: 1, description: "Column of the log" },
          message: { type: "string", description: "What is wrong with it" },
        },
      },
    },
    scope: { type: "string", enum: [...SCOPES], description: "The scope that the key lacks" },
    existingId: { type: ["string", "null"], description: "Id of what exists already" },
    similarPacks: {
      type: "array",
      description: "Packs of the record that it may be; `why` says what is alike",
      items: {
        type: "object",
        required: ["id", "maker", "name", "series", "ratedCapacityMah", "why"],
        properties: {
          id: { type: "string" },
          maker: { type: "string" },
          name: { type: "string" },
          series: { type: "integer" },
          ratedCapacityMah: { type: "number", description: "mAh" },
          why: { type: "string", enum: [...LIKENESSES] },
        },
      },
    },
    runId: { type: "string", description: "Id of the run that was kept although its log could not be read" },
    logKeptUntil: {
      type: "string",
      format: "date-time",
      description: "Until when the log is kept although it could not be read",
    },
    logRemovedAt: {
      type: "string",
      format: "date-time",
      description: "Since when the log is not kept: it is neither text nor packed",
    },
    removedAt: { type: "string", format: "date-time", description: "Since when the bytes of the log are not kept" },
    waitingFor: {
      type: "array",
      items: { type: "string", enum: [...WAITED_FOR] },
      description: "What the service waits for",
    },
    retryAfterSeconds: { type: "integer", minimum: 1, description: "As in `Retry-After`, s" },
    columns: { type: "object", additionalProperties: true, description: "A column map of what is settled" },
    candidates: {
      type: "array",
      description: "Column maps that settle a channel, each to be sent as it is",
      items: {
        type: "object",
        required: ["channel", "columns"],
        properties: {
          channel: { type: "string" },
          columns: { type: "object", additionalProperties: true },
        },
      },
    },
    discharges: {
      type: "array",
      items: { type: "object", additionalProperties: true },
      description: "Those of the log",
    },
    rules: { type: "array", items: { type: "string" }, description: "Ids of the rules that failed" },
    copies: { type: "array", items: { type: "string" }, description: "Ids of undecided matches" },
  },
  example: {
    type: "/problems/already-exists",
    title: PROBLEMS["already-exists"].title,
    status: 409,
    detail: "You have a bench with this label.",
    instance: "urn:uuid:8e03978e-40d5-43dd-bc93-6894a57f9324",
    code: "already-exists",
    existingId: EXISTING,
    errors: [{ pointer: "/label", message: "is taken" }],
  },
};

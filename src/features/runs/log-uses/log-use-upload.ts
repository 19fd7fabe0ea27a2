import type { Multipart } from "@fastify/multipart";
import type { ApiBodyOptions } from "@nestjs/swagger";
import { getSchemaPath } from "@nestjs/swagger";
import type { FastifyRequest } from "fastify";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { type Form, missingParts, type RequireRoom, unexpectedPart, withForm } from "../upload/form.js";
import { readJsonPart } from "../upload/json-part.js";
import { logTooLarge, MAX_LOG, type ReceivedLog, receiveLog } from "../upload/received-log.js";
import { LOG_PART, LOG_TYPES } from "../upload/upload-schema.js";
import { LogReadingInput } from "./log-uses.views.js";

/** Largest `reading` part, bytes. */
const MAX_READING = 64 * 2 ** 10;

const LOG_USE: Form = {
  advice: "Send multipart/form-data with the part `log` (the file), and where wanted `reading` (JSON).",
  mostBytes: MAX_LOG + 2 * MAX_READING,
  mostLogs: 1,
  largestFileBytes: MAX_LOG,
  largestJsonBytes: MAX_READING,
  tooLarge: logTooLarge,
};

/** A log to make a use of. */
export interface LogUseUpload {
  /** How it is to be read, not yet checked; empty where nothing was said. */
  readonly reading: object;
  readonly log: ReceivedLog;
}

/** What tells one such upload from another. */
export const payloadOfLogUse = ({ reading, log }: LogUseUpload): string =>
  JSON.stringify([reading, log.sha256.toString("hex")]);

/**
 * Receives the `log` part straight to disk, and `reading` as JSON. The file is gone when `use` has ended.
 *
 * @throws Problem when the log is missing, a part is unknown, sent twice, too large or no JSON, the body ends early, or there is no room for it
 */
export const withLogUse = <T>(
  request: FastifyRequest,
  requireRoom: RequireRoom,
  use: (upload: LogUseUpload) => Promise<T>,
): Promise<T> => withForm(request, LOG_USE, requireRoom, receive, use);

async function receive(parts: AsyncIterable<Multipart>, folder: string): Promise<LogUseUpload> {
  const found: { reading?: object; log?: ReceivedLog } = {};
  for await (const part of parts) {
    const name = part.fieldname;
    if (name !== "reading" && name !== "log") throw unexpectedPart(name, false, LOG_USE);
    if (found[name]) throw unexpectedPart(name, true, LOG_USE);
    if (name === "reading") found.reading = await readJsonPart(part, MAX_READING);
    else if (part.type === "file") found.log = await receiveLog(part, folder, MAX_LOG, logTooLarge);
    else throw invalidInput([{ pointer: "/log", message: "must be sent as a file, with a file name" }]);
  }
  const { reading = {}, log } = found;
  if (!log) throw missingParts(["log"]);
  return { reading, log };
}

/** The multipart body. */
export const LOG_USE_UPLOAD: ApiBodyOptions = {
  required: true,
  encoding: { reading: { contentType: "application/json" }, log: { contentType: LOG_TYPES } },
  schema: {
    type: "object",
    required: ["log"],
    properties: { reading: { $ref: getSchemaPath(LogReadingInput) }, log: LOG_PART },
  },
};

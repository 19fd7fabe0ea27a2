import type { Multipart } from "@fastify/multipart";
import type { FastifyRequest } from "fastify";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { type Form, missingParts, type RequireRoom, unexpectedPart, withForm } from "./form.js";
import { readJsonPart } from "./json-part.js";
import { logTooLarge, MAX_LOG, type ReceivedLog, receiveLog } from "./received-log.js";

/** Largest `run` part, bytes. */
const MAX_RUN = 64 * 2 ** 10;

const UPLOAD: Form = {
  advice: "Send multipart/form-data with the parts `run` (JSON) and `log` (the file).",
  mostBytes: MAX_LOG + 2 * MAX_RUN,
  mostLogs: 1,
  largestFileBytes: MAX_LOG,
  largestJsonBytes: MAX_RUN,
  tooLarge: logTooLarge,
};

/** What an upload brought. */
export interface Upload {
  /** The `run` part, not yet checked. */
  readonly run: unknown;
  readonly log: ReceivedLog;
}

/** What tells one upload from another: what it declares and the bytes of its log. */
export function payloadOf({ run, log }: Upload): string {
  return JSON.stringify([run, log.sha256.toString("hex")]);
}

/**
 * Receives an upload: the `run` part as JSON and the `log` part straight to disk. The file is gone when `use` has ended.
 *
 * @throws Problem when a part is missing, unknown, sent twice, too large or no JSON, the body ends early, or there is no room for it
 */
export function withUpload<T>(
  request: FastifyRequest,
  requireRoom: RequireRoom,
  use: (upload: Upload) => Promise<T>,
): Promise<T> {
  return withForm(request, UPLOAD, requireRoom, receive, use);
}

async function receive(parts: AsyncIterable<Multipart>, folder: string): Promise<Upload> {
  const found: { run?: object; log?: ReceivedLog } = {};
  for await (const part of parts) {
    const name = part.fieldname;
    if (name !== "run" && name !== "log") throw unexpectedPart(name, false, UPLOAD);
    if (found[name]) throw unexpectedPart(name, true, UPLOAD);
    if (name === "run") found.run = await readJsonPart(part, MAX_RUN);
    else if (part.type === "file") found.log = await receiveLog(part, folder, MAX_LOG, logTooLarge);
    else throw invalidInput([{ pointer: "/log", message: "must be sent as a file, with a file name" }]);
  }
  const { run, log } = found;
  if (!run || !log) throw missingParts((["run", "log"] as const).filter((name) => !found[name]));
  return { run, log };
}

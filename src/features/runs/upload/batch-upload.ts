import type { Multipart } from "@fastify/multipart";
import type { FastifyRequest } from "fastify";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { type Form, missingParts, type RequireRoom, unexpectedPart, withForm } from "./form.js";
import { readJsonPart } from "./json-part.js";
import { type ReceivedLog, receiveLog } from "./received-log.js";

/** Most runs in a batch. */
export const MAX_RUNS = 50;
/** All logs together as sent, bytes. */
const MAX_BATCH = 256 * 2 ** 20;
/** Largest `manifest` part, bytes. */
const MAX_MANIFEST = 2 ** 20;

const BATCH: Form = {
  advice: `Send multipart/form-data with the part \`manifest\` (JSON) and at most ${MAX_RUNS} parts \`log\` (the files).`,
  mostBytes: MAX_BATCH + 2 * MAX_MANIFEST,
  mostLogs: MAX_RUNS,
  largestFileBytes: MAX_BATCH,
  largestJsonBytes: MAX_MANIFEST,
  tooLarge: batchTooLarge,
};

/** What a batch brought. */
export interface BatchUpload {
  /** The `manifest` part, not yet checked. */
  readonly manifest: object;
  /** In the order in which they came. */
  readonly logs: readonly ReceivedLog[];
}

/** What tells one batch from another: its manifest and the bytes and names of its logs. */
export function payloadOfBatch({ manifest, logs }: BatchUpload): string {
  return JSON.stringify([manifest, logs.map(({ fileName, sha256 }) => [fileName, sha256.toString("hex")])]);
}

/**
 * Receives a batch: the `manifest` part as JSON and the `log` parts straight to disk, one after another. The files are
 * gone when `use` has ended. A log that is too large by itself is received all the same: it is its own item's fault.
 *
 * @throws Problem when a part is missing, unknown or no JSON, all logs together are too large, the body ends early, or there is no room for it
 */
export function withBatch<T>(
  request: FastifyRequest,
  requireRoom: RequireRoom,
  use: (batch: BatchUpload) => Promise<T>,
): Promise<T> {
  return withForm(request, BATCH, requireRoom, receive, use);
}

async function receive(parts: AsyncIterable<Multipart>, folder: string): Promise<BatchUpload> {
  const logs: ReceivedLog[] = [];
  let manifest: object | undefined;
  let bytes = 0;
  for await (const part of parts) {
    const name = part.fieldname;
    if (name === "manifest") {
      if (manifest) throw unexpectedPart(name, true, BATCH);
      manifest = await readJsonPart(part, MAX_MANIFEST);
      continue;
    }
    if (name !== "log") throw unexpectedPart(name, false, BATCH);
    if (part.type !== "file") {
      throw invalidInput([{ pointer: "/log", message: "must be sent as a file, with a file name" }]);
    }
    if (logs.length === MAX_RUNS) throw batchTooLarge();
    const log = await receiveLog(part, folder, MAX_BATCH - bytes, batchTooLarge);
    bytes += log.bytes;
    logs.push(log);
  }
  if (!manifest) throw missingParts(["manifest"]);
  return { manifest, logs };
}

function batchTooLarge(): Problem {
  return new Problem(
    "too-large",
    `A batch may have at most ${MAX_RUNS} logs, and ${MAX_BATCH / 2 ** 20} MiB together as sent. Pack them with gzip, or send several batches.`,
  );
}

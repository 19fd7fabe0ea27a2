import { createHash, randomUUID } from "node:crypto";
import { createWriteStream } from "node:fs";
import { join } from "node:path";
import { Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { MultipartFile } from "@fastify/multipart";
import { Problem } from "../../../platform/problems/problem.js";
import type { UnreadableLog } from "../evaluation/evaluation-thread.js";

/** Largest log as sent, bytes. */
export const MAX_LOG = 64 * 2 ** 20;
const MAX_FILE_NAME_LENGTH = 255;

/** A log on disk, with what is known of it. */
export interface ReceivedLog {
  readonly path: string;
  readonly sha256: Buffer<ArrayBuffer>;
  readonly bytes: number;
  readonly fileName: string;
  readonly mediaType: string;
}

/** A file to be stored for a run. */
export interface LogToStore extends ReceivedLog {
  /** Why it is no log at all: then its digest is kept, and not its bytes. */
  readonly refusal: UnreadableLog | null;
}

/**
 * Receives a file straight to disk, hashed on the way and never whole in memory.
 *
 * @throws what `tooLarge` gives, as soon as more than `most` bytes have come
 */
export async function receiveLog(
  part: MultipartFile,
  folder: string,
  most: number,
  tooLarge: () => Problem,
): Promise<ReceivedLog> {
  const path = join(folder, randomUUID());
  const hash = createHash("sha256");
  let bytes = 0;
  const measure = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      hash.update(chunk);
      bytes += chunk.length;
      done(bytes > most ? tooLarge() : null, chunk);
    },
  });
  await pipeline(part.file, measure, createWriteStream(path, { flags: "wx", mode: 0o600 }));
  return {
    path,
    sha256: hash.digest() as Buffer<ArrayBuffer>,
    bytes,
    fileName: cleanName(part.filename),
    mediaType: /^[\w.+-]+\/[\w.+-]+$/.test(part.mimetype) ? part.mimetype.toLowerCase() : "application/octet-stream",
  };
}

/** The last component of a file's name, without what a header or a terminal could take for more than text. */
export function cleanName(name: string | undefined): string {
  const last = (name ?? "").split(/[\\/]/).at(-1) ?? "";
  const clean = last.normalize("NFC").replace(/\p{C}/gu, "").trim().slice(0, MAX_FILE_NAME_LENGTH);
  return clean === "" ? "log" : clean;
}

export function logTooLarge(): Problem {
  return new Problem(
    "too-large",
    `A log may have at most ${MAX_LOG / 2 ** 20} MiB as sent. Pack it with gzip, or lower the logging rate.`,
  );
}

import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Multipart } from "@fastify/multipart";
import type { FastifyRequest } from "fastify";
import { pointerTo } from "../../../core/inputs/input-error.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { readsFirst } from "../../../platform/process/reads-first.js";

/** For how long an upload waits for reads before it is received, ms. */
const PATIENCE_MS = 20_000;

/** What a multipart body may be. */
export interface Form {
  /** The sentence that says which parts to send. */
  readonly advice: string;
  readonly mostBytes: number;
  readonly mostLogs: number;
  readonly largestFileBytes: number;
  readonly largestJsonBytes: number;
  readonly tooLarge: () => Problem;
}

/** Sees to it that there is room for so many bytes. @throws Problem when there is none */
export type RequireRoom = (bytes: number) => Promise<void>;

/**
 * Reads a multipart body into a folder that is gone when `use` has ended.
 *
 * @param requireRoom asked before anything is received
 * @throws Problem when the body is no form, is larger than the form may be, is broken or ends early
 */
export async function withForm<P, T>(
  request: FastifyRequest,
  form: Form,
  requireRoom: RequireRoom,
  read: (parts: AsyncIterable<Multipart>, folder: string) => Promise<P>,
  use: (received: P) => Promise<T>,
): Promise<T> {
  if (!request.isMultipart()) throw new Problem("unsupported-media-type", form.advice);
  const bytes = Number(request.headers["content-length"] ?? 0);
  if (bytes > form.mostBytes) throw form.tooLarge();
  await readsFirst.giveWay(PATIENCE_MS);
  await requireRoom(bytes);
  const folder = await mkdtemp(join(tmpdir(), "packledger-upload-"));
  try {
    const limits = {
      fileSize: form.largestFileBytes + 1,
      fieldSize: form.largestJsonBytes,
      fields: 2,
      files: form.mostLogs + 1,
      parts: form.mostLogs + 3,
      headerPairs: 50,
    };
    const received = await read(request.parts({ limits }), folder).catch((error: unknown) => {
      // What is still to come is read and dropped: else the connection would neither be free nor notice its end.
      request.raw.resume();
      throw asProblem(error, form);
    });
    return await use(received);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** The fault of a part that the form does not have, or has once. */
export function unexpectedPart(name: string | undefined, isKnown: boolean, { advice }: Form): Problem {
  if (name === undefined) return new Problem("malformed-multipart", `A part has no name. ${advice}`);
  const pointer = pointerTo("", name.slice(0, 60));
  return invalidInput([{ pointer, message: isKnown ? "was sent twice" : `is not known here. ${advice}` }]);
}

/** The fault of parts that were not sent. */
export function missingParts(names: readonly string[]): Problem {
  return invalidInput(
    names.map((name) => ({ pointer: `/${name}`, message: "is missing: send it as a part of this name" })),
  );
}

/** The multipart reader's own errors, and a connection that ends early, are the sender's; anything else is ours. */
function asProblem(error: unknown, { advice }: Form): unknown {
  if (error instanceof Problem || !(error instanceof Error)) return error;
  const { code = "", statusCode } = error as Error & { code?: string; statusCode?: number };
  if (statusCode === 413) return new Problem("too-large", `The upload has too many or too large parts. ${advice}`);
  const broken =
    /^(ERR_STREAM_PREMATURE_CLOSE|ECONNRESET|ABORT_ERR)$/.test(code) || statusCode === 400 || statusCode === 406;
  const fromReader = /multipart|part header|boundary|needle|unexpected end of form|malformed/i.test(error.message);
  if (!broken && !fromReader) return error;
  return new Problem("malformed-multipart", "The multipart body is broken or ended early. Send it again, whole.", {
    cause: error,
  });
}

import { createHash, randomUUID } from "node:crypto";
import { createWriteStream } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Readable, Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { MultipartFile, MultipartValue } from "@fastify/multipart";
import type { FastifyRequest } from "fastify";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { Problem } from "../../platform/problems/problem.js";

/** Largest log as sent, bytes. */
const LARGEST_LOG = 64 * 2 ** 20;
/** Largest `run` part, bytes. */
const LARGEST_RUN = 64 * 2 ** 10;
const LONGEST_FILE_NAME = 255;

/** A log on disk, with what is known of it. */
export interface ReceivedLog {
  readonly path: string;
  readonly sha256: Buffer<ArrayBuffer>;
  readonly bytes: number;
  readonly fileName: string;
  readonly mediaType: string;
}

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
 * Receives an upload: the `run` part as JSON and the `log` part straight to disk, hashed on the way and never whole in
 * memory. The file is gone when `use` has ended.
 *
 * @throws Problem when a part is missing, unknown, sent twice, too large or no JSON, or the body ends early
 */
export async function withUpload<T>(request: FastifyRequest, use: (upload: Upload) => Promise<T>): Promise<T> {
  if (!request.isMultipart()) {
    throw new Problem(
      "unsupported-media-type",
      "Send multipart/form-data with the parts `run` (JSON) and `log` (the file).",
    );
  }
  const declared = Number(request.headers["content-length"] ?? 0);
  if (declared > LARGEST_LOG + 2 * LARGEST_RUN) throw tooLarge();
  const folder = await mkdtemp(join(tmpdir(), "packledger-upload-"));
  try {
    return await use(await receive(request, folder));
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function receive(request: FastifyRequest, folder: string): Promise<Upload> {
  const found: { run?: string; log?: ReceivedLog } = {};
  const limits = { fileSize: LARGEST_LOG + 1, fieldSize: LARGEST_RUN, fields: 2, files: 2, parts: 4, headerPairs: 50 };
  try {
    for await (const part of request.parts({ limits })) {
      const name = part.fieldname;
      if ((name !== "run" && name !== "log") || found[name] !== undefined) throw unexpectedPart(name, found);
      if (name === "run") found.run = part.type === "file" ? await readText(part.file) : textOfField(part);
      else if (part.type === "file") found.log = await receiveLog(part, folder);
      else throw invalidInput([{ pointer: "/log", message: "must be sent as a file, with a file name" }]);
    }
  } catch (error) {
    throw asProblem(error);
  }
  const { run, log } = found;
  const missing = (["run", "log"] as const).filter((name) => found[name] === undefined);
  if (run === undefined || !log) {
    throw invalidInput(
      missing.map((name) => ({ pointer: `/${name}`, message: "is missing: send it as a part of this name" })),
    );
  }
  return { run: parseRun(run), log };
}

async function receiveLog(part: MultipartFile, folder: string): Promise<ReceivedLog> {
  const path = join(folder, randomUUID());
  const hash = createHash("sha256");
  let bytes = 0;
  const measure = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      hash.update(chunk);
      bytes += chunk.length;
      done(bytes > LARGEST_LOG ? tooLarge() : null, chunk);
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

async function readText(file: Readable): Promise<string> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of file as AsyncIterable<Buffer>) {
    bytes += chunk.length;
    if (bytes > LARGEST_RUN) throw runTooLarge();
    chunks.push(chunk);
  }
  return Buffer.concat(chunks).toString("utf8");
}

function textOfField({ value, valueTruncated }: MultipartValue): string {
  if (valueTruncated) throw runTooLarge();
  // The plugin has parsed a field that was sent as JSON already.
  return typeof value === "string" ? value : JSON.stringify(value);
}

function parseRun(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    throw new Problem("malformed-body", 'The part `run` must be JSON, such as {"protocol": "full-load", ...}.', {
      errors: [{ pointer: "/run", message: error.message }],
    });
  }
}

/** The last component of a file's name, without what a header or a terminal could take for more than text. */
function cleanName(name: string | undefined): string {
  const last = (name ?? "").split(/[\\/]/).at(-1) ?? "";
  const clean = last.normalize("NFC").replace(/\p{C}/gu, "").trim().slice(0, LONGEST_FILE_NAME);
  return clean === "" ? "log" : clean;
}

function unexpectedPart(name: string, found: object): Problem {
  const message = Object.hasOwn(found, name) ? "was sent twice" : "is not known here; the parts are `run` and `log`";
  return invalidInput([{ pointer: `/${name.slice(0, 60).replaceAll("~", "~0").replaceAll("/", "~1")}`, message }]);
}

function runTooLarge(): Problem {
  return new Problem("too-large", `The part \`run\` may have at most ${LARGEST_RUN / 1024} KiB.`);
}

function tooLarge(): Problem {
  return new Problem(
    "too-large",
    `A log may have at most ${LARGEST_LOG / 2 ** 20} MiB as sent. Pack it with gzip, or lower the logging rate.`,
  );
}

/** The multipart reader's own errors, and a connection that ends early, are the sender's; anything else is ours. */
function asProblem(error: unknown): unknown {
  if (error instanceof Problem || !(error instanceof Error)) return error;
  const { code = "", statusCode } = error as Error & { code?: string; statusCode?: number };
  if (statusCode === 413)
    return new Problem("too-large", "The upload has too many or too large parts: send one `run` and one `log`.");
  const broken =
    /^(ERR_STREAM_PREMATURE_CLOSE|ECONNRESET|ABORT_ERR)$/.test(code) || statusCode === 400 || statusCode === 406;
  const fromReader = /multipart|part header|boundary|unexpected end of form|malformed/i.test(error.message);
  if (!broken && !fromReader) return error;
  return new Problem("malformed-multipart", "The multipart body is broken or ended early. Send it again, whole.", {
    cause: error,
  });
}

import { createHash, randomUUID } from "node:crypto";
import { createServer, type IncomingMessage, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import type { ObjectStorageConfig } from "../../../src/platform/config/config.js";
import { refusalOf } from "./verify-signature.js";

/** What was asked of the server, and what it answered. */
export interface Asked {
  readonly method: string;
  /** Of the object, or "" for the bucket. */
  readonly key: string;
  readonly query: URLSearchParams;
  status: number;
}

/**
 * How a request is treated other than it should be: a status, an answer that never comes, a connection that ends after some bytes of
 * the body, or all of an object in place of a range.
 */
export type Misbehaviour = number | "hang" | "no ranges" | { readonly cutAfter: number };

/** Object storage on this machine, in memory, that speaks as much of the protocol of Amazon S3 as a client here may use. */
export interface ObjectServer {
  readonly settings: ObjectStorageConfig;
  /** By key. */
  readonly objects: Map<string, Buffer>;
  readonly asked: readonly Asked[];
  /** Uploads in parts that were neither ended nor given up. */
  readonly uploads: ReadonlyMap<string, unknown>;
  /** From now on; nothing is amiss with a request for which it returns null. */
  misbehave(how: ((request: Asked) => Misbehaviour | null) | null): void;
  close(): Promise<void>;
}

interface Options {
  /** Most keys of a page of a list. */
  readonly pageSize?: number;
  readonly prefix?: string;
}

const BUCKET = "packs";
const CREDENTIALS = { accessKeyId: "an-id-of-a-key", secretAccessKey: randomUUID(), region: "eu-nowhere-1" };
const NAMESPACE = 'xmlns="http://s3.amazonaws.com/doc/2006-03-01/"';
const tagOf = (bytes: Buffer) => `"${createHash("md5").update(bytes).digest("hex")}"`;
const inXml = (text: string) => text.replace(/[&<>"]/g, (one) => `&#${one.charCodeAt(0)};`);

/** A refusal says much, as that of a real one does: also what nobody should pass on. */
class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
  ) {
    super(code);
  }
}

export async function startObjectServer(options: Options = {}): Promise<ObjectServer> {
  const { pageSize = 1_000, prefix = "" } = options;
  const objects = new Map<string, Buffer>();
  const uploads = new Map<string, Map<number, Buffer>>();
  const asked: Asked[] = [];
  let how: ((request: Asked) => Misbehaviour | null) | null = null;
  const server = createServer((request, response) => {
    answer(request, response).catch(() => response.destroy());
  });

  async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const url = new URL(request.url ?? "", `http://${request.headers.host}`);
    const inBucket = `/${BUCKET}/`;
    const isHere = `${url.pathname}/`.startsWith(inBucket);
    const key = isHere ? decodeURIComponent(url.pathname.slice(inBucket.length)) : "";
    const one: Asked = { method: request.method ?? "", key, query: url.searchParams, status: 0 };
    asked.push(one);
    const wrong = how?.(one) ?? null;
    if (wrong === "hang") return;
    try {
      if (!isHere) throw new Refusal(404, "NoSuchBucket");
      const body = await bodyOf(request);
      if (typeof wrong === "number") throw new Refusal(wrong, wrong === 403 ? "AccessDenied" : "InternalError");
      response.on("finish", () => {
        one.status = response.statusCode;
      });
      if (wrong === "no ranges") delete request.headers.range;
      act(one, body, request, cutting(response, typeof wrong === "object" ? wrong : null));
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      one.status = error.status;
      refuse(error, request, response);
    }
  }

  /** The body, when it is what was signed and whoever signed may ask. */
  async function bodyOf(request: IncomingMessage): Promise<Buffer> {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(chunk as Buffer);
    const body = Buffer.concat(chunks);
    const code = refusalOf(request, CREDENTIALS);
    if (code) throw new Refusal(code === "AuthorizationHeaderMalformed" ? 400 : 403, code);
    const digest = createHash("sha256").update(body).digest("hex");
    if (request.headers["x-amz-content-sha256"] !== digest) throw new Refusal(400, "XAmzContentSHA256Mismatch");
    const needsLength = request.method === "PUT" || request.method === "POST";
    if (needsLength && request.headers["content-length"] === undefined) throw new Refusal(411, "MissingContentLength");
    return body;
  }

  function act({ method, key, query }: Asked, body: Buffer, request: IncomingMessage, response: ServerResponse): void {
    const uploadId = query.get("uploadId");
    if (method === "GET" && query.get("list-type") === "2") list(query, response);
    else if (method === "POST" && query.has("uploads")) {
      const id = randomUUID();
      uploads.set(id, new Map());
      xml(
        response,
        `<InitiateMultipartUploadResult ${NAMESPACE}><UploadId>${id}</UploadId></InitiateMultipartUploadResult>`,
      );
    } else if (uploadId !== null) actOnUpload(method, key, uploadId, query, body, response);
    else if (method === "PUT") {
      objects.set(key, body);
      response.writeHead(200, { etag: tagOf(body) }).end();
    } else if (method === "DELETE") {
      objects.delete(key);
      response.writeHead(204).end();
    } else if (method === "GET" || method === "HEAD") get(key, request, response);
    else throw new Refusal(405, "MethodNotAllowed");
  }

  function actOnUpload(
    method: string,
    key: string,
    uploadId: string,
    query: URLSearchParams,
    body: Buffer,
    response: ServerResponse,
  ): void {
    const parts = uploads.get(uploadId);
    if (!parts) throw new Refusal(404, "NoSuchUpload");
    if (method === "PUT") {
      parts.set(Number(query.get("partNumber")), body);
      response.writeHead(200, { etag: tagOf(body) }).end();
      return;
    }
    uploads.delete(uploadId);
    if (method === "DELETE") {
      response.writeHead(204).end();
      return;
    }
    const named = [
      ...String(body).matchAll(/<PartNumber>(\d+)<\/PartNumber>\s*<ETag>(?:&quot;|")?(\w+)(?:&quot;|")?<\/ETag>/g),
    ];
    if (named.length === 0) throw new Refusal(400, "MalformedXML");
    const bytes = named.map(([, number, tag]) => {
      const part = parts.get(Number(number));
      if (!part || tagOf(part) !== `"${tag}"`) throw new Refusal(400, "InvalidPart");
      return part;
    });
    objects.set(key, Buffer.concat(bytes));
    xml(response, `<CompleteMultipartUploadResult ${NAMESPACE}><ETag>"made"</ETag></CompleteMultipartUploadResult>`);
  }

  function get(key: string, request: IncomingMessage, response: ServerResponse): void {
    const whole = objects.get(key);
    if (!whole) throw new Refusal(404, "NoSuchKey");
    const [, from, to] = /^bytes=(\d+)-(\d+)$/.exec(request.headers.range ?? "") ?? [];
    const start = Number(from ?? 0);
    const end = Math.min(Number(to ?? whole.length - 1), whole.length - 1);
    if (start > end && whole.length > 0) throw new Refusal(416, "InvalidRange");
    const bytes = whole.subarray(start, end + 1);
    const isRange = request.headers.range !== undefined;
    response.writeHead(isRange ? 206 : 200, {
      "content-length": bytes.length,
      etag: tagOf(whole),
      ...(isRange ? { "content-range": `bytes ${start}-${end}/${whole.length}` } : {}),
    });
    response.end(request.method === "HEAD" ? undefined : bytes);
  }

  /** Keys in the order of their bytes; a token of what a query must encode. */
  function list(query: URLSearchParams, response: ServerResponse): void {
    const prefixed = [...objects.keys()].filter((key) => key.startsWith(query.get("prefix") ?? "")).sort();
    const after = Buffer.from(query.get("continuation-token") ?? "", "base64")
      .toString()
      .replace(/^~\?~>/, "");
    const rest = prefixed.filter((key) => key > after);
    const page = rest.slice(0, Math.min(pageSize, Number(query.get("max-keys") ?? 1_000)));
    const token = Buffer.from(`~?~>${page.at(-1)}`).toString("base64");
    const isTruncated = page.length < rest.length;
    const contents = page.map((key) => `<Contents><Key>${inXml(key)}</Key><Size>1</Size></Contents>`);
    xml(
      response,
      `<ListBucketResult ${NAMESPACE}><Name>${BUCKET}</Name><IsTruncated>${isTruncated}</IsTruncated>${contents.join("")}${
        isTruncated ? `<NextContinuationToken>${inXml(token)}</NextContinuationToken>` : ""
      }</ListBucketResult>`,
    );
  }

  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  return {
    settings: {
      endpoint: new URL(`http://127.0.0.1:${(server.address() as AddressInfo).port}`),
      bucket: BUCKET,
      prefix,
      addressing: "path",
      ...CREDENTIALS,
    },
    objects,
    asked,
    uploads,
    misbehave(next) {
      how = next;
    },
    close() {
      server.closeAllConnections();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}

function xml(response: ServerResponse, document: string): void {
  response
    .writeHead(200, { "content-type": "application/xml" })
    .end(`<?xml version="1.0" encoding="UTF-8"?>\n${document}`);
}

function refuse({ status, code }: Refusal, request: IncomingMessage, response: ServerResponse): void {
  const { accessKeyId } = CREDENTIALS;
  const told = inXml(`${accessKeyId} ${request.headers.authorization} ${request.url}`);
  const document = `<?xml version="1.0" encoding="UTF-8"?>\n<Error><Code>${code}</Code><Message>${told}</Message></Error>`;
  response.writeHead(status, { "content-type": "application/xml" });
  response.end(request.method === "HEAD" ? undefined : document);
}

/** An answer whose connection ends after some bytes of its body. */
function cutting(response: ServerResponse, cut: { readonly cutAfter: number } | null): ServerResponse {
  if (!cut) return response;
  const end = response.end.bind(response);
  response.end = ((body?: Buffer) => {
    if (!Buffer.isBuffer(body) || body.length <= cut.cutAfter) return end(body);
    response.write(body.subarray(0, cut.cutAfter), () => response.destroy());
    return response;
  }) as typeof response.end;
  return response;
}

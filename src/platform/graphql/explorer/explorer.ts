import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { projectRoot } from "../../config/project-root.js";

const PATH = "/graphql/explorer";
/** Where the build has laid what the page is made of. */
const folder = join(projectRoot, "dist/explorer");

/** The page's own scripts and styles, the styles' fonts, and nothing from another origin. */
const POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self' 'unsafe-inline'",
  "img-src 'self' data:",
  "font-src data:",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join("; ");

/** Whether a browser asks for a page, and not a program for an answer. */
export function wantsExplorer({ headers, query }: FastifyRequest): boolean {
  return (query as { query?: unknown }).query === undefined && /\btext\/html\b/.test(headers.accept ?? "");
}

const PAGE = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Packledger: GraphQL</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="${PATH}/graphiql.css">
</head>
<body style="margin: 0">
<div id="explorer" style="height: 100vh">This page needs JavaScript.</div>
<script src="${PATH}/react.js"></script>
<script src="${PATH}/react-dom.js"></script>
<script src="${PATH}/graphiql.js"></script>
<script src="${PATH}/start.js"></script>
</body>
</html>
`;

/** A page on which a person tries queries out. */
export function answerExplorer(reply: FastifyReply): FastifyReply {
  return reply.header("content-type", "text/html; charset=utf-8").header("content-security-policy", POLICY).send(PAGE);
}

type Files = readonly (readonly [name: string, bytes: Buffer])[];

let reading: Promise<Files> | undefined;

/** What the page loads, read once a process, however many services it starts. */
function filesOfPage(): Promise<Files> {
  reading ??= readdir(folder).then((names) =>
    Promise.all(names.map(async (name) => [name, await readFile(join(folder, name))] as const)),
  );
  return reading;
}

export async function serveExplorer(server: FastifyInstance): Promise<void> {
  for (const [name, bytes] of await filesOfPage()) {
    const mediaType = name.endsWith(".css") ? "text/css" : "text/javascript";
    server.get(`${PATH}/${name}`, (_, reply) =>
      reply
        .header("content-type", `${mediaType}; charset=utf-8`)
        .header("cache-control", "public, max-age=3600")
        .send(bytes),
    );
  }
}

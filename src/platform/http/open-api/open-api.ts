import { createHash } from "node:crypto";
import type { INestApplication } from "@nestjs/common";
import { DocumentBuilder, type OpenAPIObject, SwaggerModule } from "@nestjs/swagger";
import type { FastifyInstance } from "fastify";
import { COMPUTATION_VERSION } from "../../../core/model.js";
import { CAUTION } from "../caution.js";
import { completeOperation } from "./complete-operation.js";
import { narrowToForm } from "./forms.js";
import { headerComponents } from "./headers.js";
import { withNullTypes } from "./null-types.js";
import { operationsOf } from "./operation.js";
import { operationIdOf } from "./operation-ids.js";
import { problemComponents } from "./problem-responses.js";
import { PROBLEM_SCHEMA } from "./problem-schema.js";
import { TAGS } from "./tags.js";

const ABOUT = `Bench tests of lithium battery packs, pooled: what packs really deliver.

**Caution.** ${CAUTION}

Reads are open to anyone. What changes something needs a session (\`POST /v1/sessions\`) or a key (\`POST /v1/keys\`), sent as
\`Authorization: Bearer ...\`; with one, a read also shows what is yours.

Lists come in pages: send \`endCursor\` of a page as \`after\`, with the same filters. A query parameter that is
a list takes its values between commas or repeated: \`packs=a,b\`, \`packs=a&packs=b\`. Reads carry \`ETag\`. A POST may be sent
again with the same \`Idempotency-Key\`. A path takes HEAD where it takes GET, and OPTIONS; another method than those listed is answered
405 with \`Allow\`. Every answer carries \`X-Request-Id\`. Whatever goes wrong is a problem (RFC 9457) with a \`code\`; \`/problems\` lists them.
What is deprecated says so by \`Deprecation\` and \`Sunset\`. GraphQL at \`/graphql\` serves the same.

Data that testers contribute: Creative Commons Attribution 4.0 International (CC BY 4.0).`;

/** The description of the REST API. */
export function describeApi(app: INestApplication): OpenAPIObject {
  const about = new DocumentBuilder()
    .setOpenAPIVersion("3.1.0")
    .setTitle("Packledger")
    .setDescription(ABOUT)
    .setVersion("1")
    .addServer("/", "The service that serves this description")
    .addBearerAuth({ type: "http", scheme: "bearer", description: "A session's token, or a key" });
  for (const [name, description] of TAGS) about.addTag(name, description);
  const created = SwaggerModule.createDocument(app, about.build(), { operationIdFactory: operationIdOf });
  for (const { path, method, operation } of operationsOf(created)) {
    narrowToForm(path, operation);
    completeOperation(method, operation);
  }
  const document = withNullTypes(created) as OpenAPIObject;
  document.info.license = { name: "MIT", identifier: "MIT" } as NonNullable<OpenAPIObject["info"]["license"]>;
  delete document.info.contact;
  const { schemas } = document.components ?? {};
  Object.assign(document.components ?? {}, {
    schemas: { ...schemas, Problem: PROBLEM_SCHEMA },
    responses: problemComponents(),
    headers: headerComponents(document.paths, problemComponents()),
  });
  return document;
}

/**
 * Serves the description at /openapi.json, and a page to read and try it at /docs with nothing from elsewhere. By its text the
 * answers of another program are told from those of this one.
 */
export function serveApiDescription(app: INestApplication): void {
  described ??= describeProgram(app);
  const { description, json, version } = described;
  const server: FastifyInstance = app.getHttpAdapter().getInstance();
  server.decorate("answersVersion", version);
  server.get("/openapi.json", (_, reply) =>
    reply.header("etag", `W/"${version}"`).type("application/json; charset=utf-8").send(json),
  );
  // The page asks the service that it comes from: a choice of one server is none, and has no name for who cannot see it.
  SwaggerModule.setup("docs", app, { ...description, servers: [] }, { raw: false, ...PAGE_OPTIONS });
}

/** Its title, and colours that stand off (WCAG 2.2, 1.4.3) where those of the library do not. */
const PAGE_OPTIONS = {
  customSiteTitle: "Packledger API",
  customCss: [
    ".swagger-ui .info .title small, .swagger-ui .info .title small.version-stamp { background: #3f4650 }",
    ".swagger-ui .info .title small.version-stamp { background: #33691e }",
    ".swagger-ui .info a, .swagger-ui .info .link { color: #0b4f9e }",
    ".swagger-ui .btn.authorize { color: #1b5e3a; border-color: #1b5e3a }",
    ".swagger-ui .btn.authorize svg { fill: #1b5e3a }",
    ...Object.entries({ get: "#1565c0", post: "#1b6e3f", put: "#8a4b00", patch: "#00695c", delete: "#b3261e" }).map(
      ([method, colour]) => `.swagger-ui .opblock.opblock-${method} .opblock-summary-method { background: ${colour} }`,
    ),
  ].join("\n"),
};

/** The description is the program's: every app of a process has the same. */
let described: ReturnType<typeof describeProgram> | undefined;

/** Its text is a megabyte, which is written once and not for each who asks. */
function describeProgram(app: INestApplication) {
  const description = describeApi(app);
  const json = Buffer.from(JSON.stringify(description));
  const version = createHash("sha256").update(json).update(String(COMPUTATION_VERSION)).digest("base64url");
  return { description, json, version };
}

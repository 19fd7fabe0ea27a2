import type { INestApplication } from "@nestjs/common";
import { DocumentBuilder, type OpenAPIObject, SwaggerModule } from "@nestjs/swagger";
import { KEY_PARAMETER } from "../idempotency/key-parameter.js";
import { CAUTION } from "./caution.js";

/** OpenAPI 3.1 says "or null" as JSON Schema does, with a list of types. */
function withNullTypes(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(withNullTypes);
  if (typeof value !== "object" || value === null) return value;
  const { nullable, ...rest } = Object.fromEntries(
    Object.entries(value).map(([name, member]) => [name, withNullTypes(member)]),
  );
  if (nullable !== true) return nullable === undefined ? rest : { ...rest, nullable };
  if (Array.isArray(rest.enum)) rest.enum = [...rest.enum, null];
  if (typeof rest.type === "string") return { ...rest, type: [rest.type, "null"] };
  const { description, ...schema } = rest;
  return { description, anyOf: [...(Array.isArray(rest.allOf) ? rest.allOf : [schema]), { type: "null" }] };
}

const problemResponse = {
  description: "A problem (RFC 9457); its codes are listed at /problems",
  content: {
    "application/problem+json": {
      schema: {
        type: "object",
        required: ["type", "title", "status", "detail"],
        properties: {
          type: { type: "string", format: "uri-reference" },
          title: { type: "string" },
          status: { type: "integer" },
          detail: { type: "string" },
          instance: { type: "string", format: "uri" },
          errors: {
            type: "array",
            items: {
              type: "object",
              required: ["message"],
              properties: {
                pointer: { type: "string", description: "JSON pointer (RFC 6901)" },
                line: { type: "integer" },
                column: { type: "integer" },
                message: { type: "string" },
              },
            },
          },
        },
      },
    },
  },
};

/** The description of the REST API. */
export function describeApi(app: INestApplication): OpenAPIObject {
  const about = new DocumentBuilder()
    .setOpenAPIVersion("3.1.0")
    .setTitle("Packledger")
    .setDescription(`Bench tests of lithium battery packs, pooled.\n\n**Caution.** ${CAUTION}`)
    .setVersion("1")
    .addBearerAuth()
    .build();
  const document = SwaggerModule.createDocument(app, about);
  for (const path of Object.values(document.paths)) {
    if (path.post) path.post.parameters = [...(path.post.parameters ?? []), KEY_PARAMETER];
    for (const operation of Object.values(path)) {
      if (typeof operation === "object" && operation?.responses) operation.responses.default = problemResponse;
    }
  }
  return withNullTypes(document) as OpenAPIObject;
}

/** Serves the description at /openapi.json and a page to read and try it at /docs, with nothing from elsewhere. */
export function serveApiDescription(app: INestApplication): void {
  SwaggerModule.setup("docs", app, describeApi(app), { jsonDocumentUrl: "openapi.json", raw: ["json"] });
}

import { Controller, Get, Req, Res } from "@nestjs/common";
import { ApiOperation, ApiResponse, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import { PROTOCOL_SCHEMA } from "../../core/protocol/schema.js";
import { acceptedType, Gives } from "../../platform/http/requests/accept.guard.js";

@ApiTags("protocols")
@Controller("v1/protocol-schema")
export class ProtocolSchemaController {
  @Get()
  @Gives("application/schema+json", "application/json")
  @ApiOperation({ operationId: "getProtocolSchema", summary: "JSON Schema (2020-12) of a protocol's document" })
  @ApiResponse({
    status: 200,
    content: {
      "application/schema+json": { schema: { type: "object", additionalProperties: true } },
      "application/json": { schema: { type: "object", additionalProperties: true } },
    },
  })
  schema(@Req() request: FastifyRequest, @Res({ passthrough: true }) reply: FastifyReply): object {
    const type = acceptedType(request, ["application/schema+json", "application/json"]);
    reply.header("content-type", `${type}; charset=utf-8`);
    return PROTOCOL_SCHEMA;
  }
}

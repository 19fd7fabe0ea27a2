import { Controller, Get, Header } from "@nestjs/common";
import { ApiOperation, ApiResponse, ApiTags } from "@nestjs/swagger";
import { PROTOCOL_SCHEMA } from "../../core/protocol/schema.js";

@ApiTags("protocols")
@Controller("v1/protocol-schema")
export class ProtocolSchemaController {
  @Get()
  @Header("content-type", "application/schema+json; charset=utf-8")
  @ApiOperation({ summary: "JSON Schema (2020-12) of a protocol's document" })
  @ApiResponse({ status: 200, content: { "application/schema+json": { schema: { type: "object" } } } })
  schema(): object {
    return PROTOCOL_SCHEMA;
  }
}

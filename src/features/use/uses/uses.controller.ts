import { Controller, Get, Param, Query, Req, Res } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiResponse, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { acceptedType, Gives } from "../../../platform/http/requests/accept.guard.js";
import { USE_SCHEMA } from "./use-schema.js";
import { UsesService } from "./uses.service.js";
import { LogDemandQuery, LoggedUseView } from "./uses.views.js";

@ApiTags("predictions")
@Controller("v1")
export class UsesController {
  constructor(private readonly usesService: UsesService) {}

  @Get("use-schema")
  @Gives("application/schema+json", "application/json")
  @ApiOperation({
    operationId: "getUseSchema",
    summary: "JSON Schema (2020-12) of a use, as predictions and selections take it",
  })
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
    return USE_SCHEMA;
  }

  @Get("runs/:id/use")
  @Refuses("log-no-load", "log-too-short", "log-time-limit")
  @ApiOperation({
    operationId: "getUseOfRun",
    summary: "What a run drew, as the steps of a use: ask predictions and selections what other packs do under it",
  })
  @ApiOkResponse({ type: LoggedUseView })
  ofRun(
    @Param("id") id: string,
    @Query() { demand }: LogDemandQuery,
    @CurrentAccount() caller: Caller | null,
  ): Promise<LoggedUseView> {
    return this.usesService.ofRun(id, demand ?? "current", caller);
  }
}

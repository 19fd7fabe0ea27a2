import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Query, Res } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { ColumnMapsService } from "./column-maps.service.js";
import { ColumnMapInput, ColumnMapList, ColumnMapView } from "./column-maps.views.js";

@ApiTags("column maps")
@Controller("v1/column-maps")
@Authenticated()
export class ColumnMapsController {
  constructor(private readonly columnMapsService: ColumnMapsService) {}

  @Get()
  @ApiOperation({ summary: "Your column maps" })
  @ApiOkResponse({ type: ColumnMapList })
  async list(@Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.columnMapsService.listOwn(args, caller));
  }

  @Post()
  @Refuses("already-exists", "limit-reached")
  @ApiOperation({ summary: "Save a column map; it is applied to your logs with exactly this header row" })
  @ApiCreatedResponse({ headers: headersOf("Location"), type: ColumnMapView })
  async save(
    @Body() input: ColumnMapInput,
    @CurrentAccount() caller: Caller,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<ColumnMapView> {
    const map = await this.columnMapsService.save(input, caller);
    reply.header("location", `/v1/column-maps/${map.id}`);
    return map;
  }

  @Get(":id")
  @ApiOperation({ summary: "Your column map" })
  @ApiOkResponse({ type: ColumnMapView })
  get(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<ColumnMapView> {
    return this.columnMapsService.getOwn(id, caller);
  }

  @Delete(":id")
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "Remove your column map; runs keep what it said" })
  @ApiNoContentResponse()
  remove(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.columnMapsService.remove(id, caller);
  }
}

import { Body, Controller, Get, Header, Param, Post, Query } from "@nestjs/common";
import { ApiBody, ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { notFound } from "../../platform/problems/problem.js";
import { ProtocolsService } from "./protocols.service.js";
import { ProtocolList, ProtocolVersionView, ProtocolView } from "./protocols.views.js";
import { PublicationService } from "./publication.service.js";
import { RulesService } from "./rules.service.js";
import { ProtocolRuleList } from "./rules.views.js";

@ApiTags("protocols")
@Controller("v1/protocols")
export class ProtocolsController {
  constructor(
    private readonly protocolsService: ProtocolsService,
    private readonly rulesService: RulesService,
    private readonly publicationService: PublicationService,
  ) {}

  @Get()
  @ApiOperation({ summary: "The newest version of each protocol" })
  @ApiOkResponse({ type: ProtocolList })
  async list(@Query() args: PageArgs) {
    return toList(await this.protocolsService.list(args));
  }

  @Get(":key")
  @ApiOperation({ operationId: "getProtocol", summary: "The newest version of a protocol" })
  @ApiOkResponse({ type: ProtocolView })
  newest(@Param("key") key: string): Promise<ProtocolView> {
    return this.protocolsService.get(key);
  }

  @Post(":key/versions")
  @Roles("administrator")
  @Refuses("role-required", "already-exists")
  @ApiOperation({
    operationId: "publishProtocolVersion",
    summary: "Publish the next version of a protocol, for good",
    description:
      "The body is the document, as `/v1/protocol-schema` describes it. `POST /v1/reevaluations` reports beforehand what it would change, and makes it the active version.",
  })
  @ApiBody({ schema: { type: "object", additionalProperties: true } })
  @ApiCreatedResponse({ type: ProtocolView })
  publish(
    @Param("key") key: string,
    @Body() document: unknown,
    @CurrentAccount() caller: Caller,
  ): Promise<ProtocolView> {
    return this.publicationService.publish(key, document, caller);
  }

  @Get(":key/versions/:version")
  @ApiOperation({ operationId: "getProtocolVersion", summary: "A version of a protocol" })
  @Header("cache-control", "public, max-age=31536000, immutable")
  @ApiOkResponse({ type: ProtocolVersionView })
  async version(@Param("key") key: string, @Param("version") version: string): Promise<ProtocolVersionView> {
    const { active: _, activeVersion: __, ...published } = await this.protocolsService.get(key, versionNumber(version));
    return published;
  }

  @Get(":key/versions/:version/rules")
  @ApiOperation({
    operationId: "listProtocolRules",
    summary: "The rules of a version: what each looks at, its limits, why, and what to change",
  })
  @ApiOkResponse({ type: ProtocolRuleList })
  async listRules(@Param("key") key: string, @Param("version") version: string, @Query() args: PageArgs) {
    return toList(await this.rulesService.list(key, versionNumber(version), args));
  }
}

function versionNumber(text: string): number {
  if (!/^[1-9]\d{0,6}$/.test(text)) throw notFound("protocol");
  return Number(text);
}

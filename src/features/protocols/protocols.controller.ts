import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { notFound } from "../../platform/problems/problem.js";
import { ProtocolsService } from "./protocols.service.js";
import { ProtocolList, ProtocolView } from "./protocols.views.js";
import { RulesService } from "./rules.service.js";
import { ProtocolRuleList } from "./rules.views.js";

@ApiTags("protocols")
@Controller("v1/protocols")
export class ProtocolsController {
  constructor(
    private readonly protocols: ProtocolsService,
    private readonly rules: RulesService,
  ) {}

  @Get()
  @ApiOperation({ summary: "The newest version of each protocol" })
  @ApiOkResponse({ type: ProtocolList })
  async list(@Query() args: PageArgs) {
    return toList(await this.protocols.list(args));
  }

  @Get(":key")
  @ApiOperation({ summary: "The newest version of a protocol" })
  @ApiOkResponse({ type: ProtocolView })
  newest(@Param("key") key: string): Promise<ProtocolView> {
    return this.protocols.get(key);
  }

  @Get(":key/versions/:version")
  @ApiOperation({ summary: "A version of a protocol" })
  @ApiOkResponse({ type: ProtocolView })
  version(@Param("key") key: string, @Param("version") version: string): Promise<ProtocolView> {
    return this.protocols.get(key, versionNumber(version));
  }

  @Get(":key/versions/:version/rules")
  @ApiOperation({ summary: "The rules of a version: what each looks at, its limits, why, and what to change" })
  @ApiOkResponse({ type: ProtocolRuleList })
  async listRules(@Param("key") key: string, @Param("version") version: string, @Query() args: PageArgs) {
    return toList(await this.rules.list(key, versionNumber(version), args));
  }
}

function versionNumber(text: string): number {
  if (!/^[1-9]\d{0,6}$/.test(text)) throw notFound("protocol");
  return Number(text);
}

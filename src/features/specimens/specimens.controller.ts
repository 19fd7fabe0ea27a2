import { Body, Controller, Get, Param, Patch, Post, Query, Res } from "@nestjs/common";
import { ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { SpecimensService } from "./specimens.service.js";
import { SpecimenCorrectionInput, SpecimenInput, SpecimenList, SpecimenView } from "./specimens.views.js";

@ApiTags("specimens")
@Controller("v1/specimens")
@Authenticated()
export class SpecimensController {
  constructor(private readonly specimensService: SpecimensService) {}

  @Get()
  @ApiOperation({ summary: "Your specimens" })
  @ApiOkResponse({ type: SpecimenList })
  async list(@Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.specimensService.listOwn(args, caller));
  }

  @Post()
  @Refuses("already-exists", "unknown-reference")
  @ApiOperation({ summary: "Register a specimen" })
  @ApiCreatedResponse({ headers: headersOf("Location"), type: SpecimenView })
  async register(
    @Body() input: SpecimenInput,
    @CurrentAccount() caller: Caller,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<SpecimenView> {
    const specimen = await this.specimensService.register(input, caller);
    reply.header("location", `/v1/specimens/${specimen.id}`);
    return specimen;
  }

  @Patch(":id")
  @Refuses("already-exists")
  @ApiOperation({ operationId: "correctSpecimen", summary: "Correct your specimen" })
  @ApiOkResponse({ type: SpecimenView })
  correct(
    @Param("id") id: string,
    @Body() input: SpecimenCorrectionInput,
    @CurrentAccount() caller: Caller,
  ): Promise<SpecimenView> {
    return this.specimensService.correct(id, input, caller);
  }

  @Get(":id")
  @ApiOperation({ summary: "Your specimen" })
  @ApiOkResponse({ type: SpecimenView })
  get(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<SpecimenView> {
    return this.specimensService.getOwn(id, caller);
  }
}

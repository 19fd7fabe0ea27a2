import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Query } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, SessionOnly } from "../../../platform/auth/decorators.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../../platform/paging/page.js";
import { SignInsService } from "./sign-ins.service.js";
import { IdentityInput, IdentityList, IdentityView } from "./sign-ins.views.js";

@ApiTags("accounts")
@Controller("v1/accounts/me/identities")
export class IdentitiesController {
  constructor(private readonly signInsService: SignInsService) {}

  @Get()
  @SessionOnly()
  @ApiOperation({ summary: "Who you are at identity providers, newest first" })
  @ApiOkResponse({ type: IdentityList })
  async list(@Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.signInsService.list(args, caller));
  }

  @Post()
  @SessionOnly()
  @Refuses("wrong-credentials", "sign-in-code-required", "sign-in-failed", "already-exists", "not-found")
  @ApiOperation({ summary: "Link your account to who you signed in as; from then on that opens it too" })
  @ApiCreatedResponse({ type: IdentityView })
  link(@Body() input: IdentityInput, @CurrentAccount() caller: Caller): Promise<IdentityView> {
    return this.signInsService.link(input, caller);
  }

  @Delete(":id")
  @SessionOnly()
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("limit-reached")
  @ApiOperation({ summary: "Unlink it; not while it is the only way into your account" })
  @ApiNoContentResponse()
  unlink(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.signInsService.unlink(id, caller);
  }
}

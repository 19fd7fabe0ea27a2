import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Query } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, SessionOnly } from "../../../platform/auth/decorators.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { MakesSecretOnce } from "../../../platform/idempotency/answer-holds-secret.js";
import { PageArgs, toList } from "../../../platform/paging/page.js";
import { KeysService } from "./keys.service.js";
import { KeyInput, KeyList, NewKeyView } from "./keys.views.js";

@ApiTags("accounts")
@Controller("v1/keys")
export class KeysController {
  constructor(private readonly keysService: KeysService) {}

  @Post()
  @SessionOnly()
  @MakesSecretOnce("key")
  @Header("cache-control", "no-store")
  @Refuses("limit-reached", "already-exists")
  @ApiOperation({ summary: "Make a key for programs; it is shown this once" })
  @ApiCreatedResponse({ type: NewKeyView })
  create(@Body() input: KeyInput, @CurrentAccount() caller: Caller): Promise<NewKeyView> {
    return this.keysService.create(input, caller);
  }

  @Get()
  @SessionOnly()
  @ApiOperation({ summary: "Your keys, newest first" })
  @ApiOkResponse({ type: KeyList })
  async list(@Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.keysService.list(args, caller));
  }

  @Delete(":id")
  @SessionOnly()
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "Delete one of your keys; it is good for nothing from then on" })
  @ApiNoContentResponse()
  delete(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.keysService.delete(id, caller);
  }
}

import { Body, Controller, Get, HttpCode, Param, Post, Put } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles, SessionOnly } from "../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../platform/client/client.js";
import { AccountsService, accountView } from "./accounts.service.js";
import {
  AccountView,
  CredentialsInput,
  ErasureInput,
  ErasureView,
  PasswordInput,
  RoleInput,
} from "./accounts.views.js";

@ApiTags("accounts")
@Controller("v1/accounts")
export class AccountsController {
  constructor(private readonly accountsService: AccountsService) {}

  @Post()
  @ApiOperation({ summary: "Register as a tester" })
  @ApiCreatedResponse({ type: AccountView })
  register(@Body() input: CredentialsInput, @FromClient() client: Client): Promise<AccountView> {
    return this.accountsService.register(input, client);
  }

  @Get("me")
  @Authenticated()
  @ApiOperation({ summary: "Your account" })
  @ApiOkResponse({ type: AccountView })
  me(@CurrentAccount() caller: Caller): AccountView {
    return accountView(caller);
  }

  @Put("me/password")
  @SessionOnly()
  @HttpCode(204)
  @ApiOperation({ summary: "Set another password; every other session ends" })
  @ApiNoContentResponse()
  setPassword(@Body() input: PasswordInput, @CurrentAccount() caller: Caller): Promise<void> {
    return this.accountsService.setPassword(input, caller);
  }

  @Post("me/erasure")
  @SessionOnly()
  @HttpCode(200)
  @ApiOperation({ summary: "Erase your personal data for good; what remains is said" })
  @ApiOkResponse({ type: ErasureView })
  erase(@Body() input: ErasureInput, @CurrentAccount() caller: Caller): Promise<ErasureView> {
    return this.accountsService.erase(input, caller);
  }

  @Put(":id/role")
  @Roles("administrator")
  @ApiOperation({ summary: "Give an account another role" })
  @ApiOkResponse({ type: AccountView })
  setRole(@Param("id") id: string, @Body() input: RoleInput, @CurrentAccount() caller: Caller): Promise<AccountView> {
    return this.accountsService.setRole(id, input, caller);
  }
}

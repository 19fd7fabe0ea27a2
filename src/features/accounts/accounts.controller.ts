import { Body, Controller, Get, HttpCode, Param, Post, Put, Query } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, EvenSuspended, Roles, SessionOnly } from "../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../platform/client/client.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { toList } from "../../platform/paging/page.js";
import { AccountsService, accountView } from "./accounts.service.js";
import {
  AccountList,
  AccountsArgs,
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
  @Refuses("already-exists")
  @ApiOperation({ summary: "Register as a tester" })
  @ApiCreatedResponse({ type: AccountView })
  register(@Body() input: CredentialsInput, @FromClient() client: Client): Promise<AccountView> {
    return this.accountsService.register(input, client);
  }

  @Get()
  @Roles("administrator")
  @Refuses("role-required")
  @ApiOperation({ operationId: "listAccounts", summary: "Accounts with their roles, in the order of registration" })
  @ApiOkResponse({ type: AccountList })
  async list(@Query() args: AccountsArgs) {
    return toList(await this.accountsService.list(args));
  }

  @Get("me")
  @Authenticated()
  @ApiOperation({ operationId: "getOwnAccount", summary: "Your account" })
  @ApiOkResponse({ type: AccountView })
  me(@CurrentAccount() caller: Caller): AccountView {
    return accountView(caller);
  }

  @Put("me/password")
  @SessionOnly()
  @HttpCode(204)
  @Refuses("wrong-credentials", "sign-in-code-required")
  @ApiOperation({ operationId: "setPassword", summary: "Set another password; every other session ends" })
  @ApiNoContentResponse()
  setPassword(@Body() input: PasswordInput, @CurrentAccount() caller: Caller): Promise<void> {
    return this.accountsService.setPassword(input, caller);
  }

  @Post("me/erasure")
  @SessionOnly()
  @EvenSuspended()
  @HttpCode(200)
  @Refuses("wrong-credentials", "sign-in-code-required", "role-required")
  @ApiOperation({ operationId: "eraseOwnAccount", summary: "Erase your personal data for good; what remains is said" })
  @ApiOkResponse({ type: ErasureView })
  erase(@Body() input: ErasureInput, @CurrentAccount() caller: Caller): Promise<ErasureView> {
    return this.accountsService.erase(input, caller);
  }

  @Put(":handle/role")
  @Roles("administrator")
  @Refuses("role-required")
  @ApiOperation({ operationId: "setAccountRole", summary: "Give an account, named by its handle or id, another role" })
  @ApiOkResponse({ type: AccountView })
  setRole(
    @Param("handle") handle: string,
    @Body() input: RoleInput,
    @CurrentAccount() caller: Caller,
  ): Promise<AccountView> {
    return this.accountsService.setRole(handle, input, caller);
  }
}

import { Body, Controller, Get, Header, Post } from "@nestjs/common";
import { ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { AnswerHoldsSecret } from "../../platform/idempotency/answer-holds-secret.js";
import { AccountsService } from "./accounts.service.js";
import { AccountView, CredentialsInput, SessionView } from "./accounts.views.js";

@ApiTags("accounts")
@Controller("v1")
export class AccountsController {
  constructor(private readonly accounts: AccountsService) {}

  @Post("accounts")
  @ApiOperation({ summary: "Register as a tester" })
  @ApiCreatedResponse({ type: AccountView })
  register(@Body() input: CredentialsInput): Promise<AccountView> {
    return this.accounts.register(input);
  }

  @Get("accounts/me")
  @Authenticated()
  @ApiOperation({ summary: "Your account" })
  @ApiOkResponse({ type: AccountView })
  me(@CurrentAccount() caller: Caller): AccountView {
    return caller;
  }

  @Post("sessions")
  @AnswerHoldsSecret()
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "Open a session" })
  @ApiCreatedResponse({ type: SessionView })
  openSession(@Body() input: CredentialsInput): Promise<SessionView> {
    return this.accounts.openSession(input);
  }
}

import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { AccountsService } from "./accounts.service.js";
import { AccountView, CredentialsInput, SessionView } from "./accounts.views.js";

@Resolver()
export class AccountsResolver {
  constructor(private readonly accounts: AccountsService) {}

  @Query(() => AccountView, { nullable: true, description: "Your account; null without a session" })
  me(@CurrentAccount() caller: Caller | null): AccountView | null {
    return caller;
  }

  @Mutation(() => AccountView, { description: "Register as a tester" })
  createAccount(@Args("input") input: CredentialsInput): Promise<AccountView> {
    return this.accounts.register(input);
  }

  @Mutation(() => SessionView, { description: "Open a session" })
  createSession(@Args("input") input: CredentialsInput): Promise<SessionView> {
    return this.accounts.openSession(input);
  }
}

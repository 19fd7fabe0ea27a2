import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, EvenSuspended, Roles, SessionOnly } from "../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../platform/client/client.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { AccountsService, accountView } from "./accounts.service.js";
import {
  AccountsArgs,
  AccountView,
  CredentialsInput,
  ErasureInput,
  ErasureView,
  ListedAccountConnection,
  type ListedAccountView,
  PasswordInput,
  RoleInput,
} from "./accounts.views.js";

@Resolver()
export class AccountsResolver {
  constructor(private readonly accountsService: AccountsService) {}

  @Query(() => AccountView, { nullable: true, description: "Your account; null without a session" })
  me(@CurrentAccount() caller: Caller | null): AccountView | null {
    return caller && accountView(caller);
  }

  @Query(() => ListedAccountConnection, {
    nullable: true,
    description: "Accounts with their roles, in the order of registration",
  })
  @Roles("administrator")
  async accounts(@Args() args: AccountsArgs): Promise<Connection<ListedAccountView>> {
    return toConnection(await this.accountsService.list(args));
  }

  @Mutation(() => AccountView, { nullable: true, description: "Register as a tester" })
  createAccount(
    @Args("input", { description: "Handle and password" }) input: CredentialsInput,
    @FromClient() client: Client,
  ): Promise<AccountView> {
    return this.accountsService.register(input, client);
  }

  @Mutation(() => AccountView, { nullable: true, description: "Set another password; every other session ends" })
  @SessionOnly()
  async setPassword(
    @Args("input", { description: "The new password, with what shows again who asks" }) input: PasswordInput,
    @CurrentAccount() caller: Caller,
  ): Promise<AccountView> {
    await this.accountsService.setPassword(input, caller);
    return accountView(caller);
  }

  @Mutation(() => ErasureView, {
    nullable: true,
    description: "Erase your personal data for good; what remains is said",
  })
  @SessionOnly()
  @EvenSuspended()
  eraseAccount(
    @Args("input", { description: "What shows again who asks" }) input: ErasureInput,
    @CurrentAccount() caller: Caller,
  ): Promise<ErasureView> {
    return this.accountsService.erase(input, caller);
  }

  @Mutation(() => AccountView, { nullable: true, description: "Give an account another role" })
  @Roles("administrator")
  setRole(
    @Args("account", { type: () => ID, description: "Its handle, or its id" }) account: string,
    @Args("input", { description: "The role, and why it is given" }) input: RoleInput,
    @CurrentAccount() caller: Caller,
  ): Promise<AccountView> {
    return this.accountsService.setRole(account, input, caller);
  }
}

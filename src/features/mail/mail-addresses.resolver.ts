import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, SessionOnly } from "../../platform/auth/decorators.js";
import { MailAddressInput, MailAddressView } from "./mail.views.js";
import { MailAddressesService } from "./mail-addresses.service.js";

@Resolver()
export class MailAddressesResolver {
  constructor(private readonly mailAddressesService: MailAddressesService) {}

  @Query(() => MailAddressView, { nullable: true, description: "Where your notices are mailed to" })
  @SessionOnly()
  mailAddress(@CurrentAccount() caller: Caller): Promise<MailAddressView> {
    return this.mailAddressesService.get(caller);
  }

  @Mutation(() => MailAddressView, {
    nullable: true,
    description: "Have your notices mailed to an address, once the link that is mailed to it is used",
  })
  @SessionOnly()
  setMailAddress(
    @Args("input", { description: "The address that notices go to from when it is confirmed" }) {
      address,
    }: MailAddressInput,
    @CurrentAccount() caller: Caller,
  ): Promise<MailAddressView> {
    return this.mailAddressesService.set(address, caller);
  }

  @Mutation(() => MailAddressView, { nullable: true, description: "Forget your address: nothing more is mailed" })
  @SessionOnly()
  async deleteMailAddress(@CurrentAccount() caller: Caller): Promise<MailAddressView> {
    await this.mailAddressesService.remove(caller);
    return this.mailAddressesService.get(caller);
  }
}

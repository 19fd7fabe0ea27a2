import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { SpecimensService } from "./specimens.service.js";
import { SpecimenConnection, SpecimenCorrectionInput, SpecimenInput, SpecimenView } from "./specimens.views.js";

@Resolver(() => SpecimenView)
@Authenticated()
export class SpecimensResolver {
  constructor(private readonly specimensService: SpecimensService) {}

  @Query(() => SpecimenConnection, { nullable: true, description: "Your specimens" })
  async specimens(@Args() args: PageArgs, @CurrentAccount() caller: Caller): Promise<Connection<SpecimenView>> {
    return toConnection(await this.specimensService.listOwn(args, caller));
  }

  @Query(() => SpecimenView, { nullable: true, description: "Your specimen" })
  specimen(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<SpecimenView> {
    return this.specimensService.getOwn(id, caller);
  }

  @Mutation(() => SpecimenView, { nullable: true, description: "Register a specimen" })
  createSpecimen(
    @Args("input", { description: "Which product it is one of, its label and its age" }) input: SpecimenInput,
    @CurrentAccount() caller: Caller,
  ): Promise<SpecimenView> {
    return this.specimensService.register(input, caller);
  }

  @Mutation(() => SpecimenView, { nullable: true, description: "Correct your specimen" })
  correctSpecimen(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("input", { description: "What is put right: label, age or mass, and why" }) input: SpecimenCorrectionInput,
    @CurrentAccount() caller: Caller,
  ): Promise<SpecimenView> {
    return this.specimensService.correct(id, input, caller);
  }
}

import { Args, Context, ID, Mutation, Resolver } from "@nestjs/graphql";
import type { FastifyRequest } from "fastify";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../../platform/auth/decorators.js";
import { ClaimsService } from "./claims.service.js";
import { ClaimOutcomesView, ClaimView, ManyClaimsInput } from "./claims.views.js";

const WHICH = { type: () => ID, description: "The run in question, by its id" } as const;

@Resolver(() => ClaimView)
@Roles("moderator")
export class ClaimsResolver {
  constructor(private readonly claimsService: ClaimsService) {}

  @Mutation(() => ClaimView, {
    nullable: true,
    description: "Take a run for half an hour, or up to an hour when renewed; others leave it alone",
  })
  claimRun(@Args("runId", WHICH) runId: string, @CurrentAccount() caller: Caller): Promise<ClaimView> {
    return this.claimsService.claim(runId, caller);
  }

  @Mutation(() => ClaimOutcomesView, {
    nullable: true,
    description: "Claim several runs; each is claimed or refused separately",
  })
  async claimRuns(
    @Args("input", { description: "Ids of waiting runs" }) { runIds }: ManyClaimsInput,
    @CurrentAccount() caller: Caller,
    @Context("req") request: FastifyRequest,
  ): Promise<ClaimOutcomesView> {
    return { items: await this.claimsService.claimMany(runIds, caller, request.id) };
  }

  @Mutation(() => ID, { nullable: true, description: "Leave a run to others again; its id" })
  async releaseRun(@Args("runId", WHICH) runId: string, @CurrentAccount() caller: Caller): Promise<string> {
    await this.claimsService.release(runId, caller);
    return runId;
  }

  @Mutation(() => Boolean, { nullable: true, description: "Release every run that you have claimed; true" })
  async releaseRuns(@CurrentAccount() caller: Caller): Promise<boolean> {
    await this.claimsService.releaseAll(caller);
    return true;
  }
}

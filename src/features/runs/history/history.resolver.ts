import { Args, ID, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { HistoryService } from "./history.service.js";
import { EvaluationChangesView, EvaluationsView, EvaluationView, RunEvaluationPairArgs } from "./history.views.js";

@Resolver(() => EvaluationView)
export class HistoryResolver {
  constructor(private readonly historyService: HistoryService) {}

  @Query(() => EvaluationsView, { nullable: true, description: "Every evaluation of a run, the newest first" })
  runEvaluations(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller | null,
  ): Promise<EvaluationsView> {
    return this.historyService.list(id, caller);
  }

  @Query(() => EvaluationChangesView, {
    nullable: true,
    description: "What differs between two evaluations of a run, and why",
  })
  evaluationChanges(
    @Args() args: RunEvaluationPairArgs,
    @CurrentAccount() caller: Caller | null,
  ): Promise<EvaluationChangesView> {
    return this.historyService.compare(args.runId, args, caller);
  }
}

import { Args, Extensions, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { READS_REPLICA } from "../../platform/graphql/revised.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { WithdrawalExcuseInput } from "./decisions/withdrawal-excuse.views.js";
import { WithdrawalsService } from "./decisions/withdrawals.service.js";
import { RunMovesService } from "./moves/run-moves.service.js";
import { RunMoveInput } from "./moves/run-moves.views.js";
import { type RunNode, RunNodesService } from "./nodes/run-nodes.service.js";
import { RunConnection, RunsArgs, RunView } from "./runs.views.js";
import { TracesService } from "./trace/traces.service.js";
import { TraceArgs, TraceView } from "./trace/traces.views.js";

/** Runs are read here; their logs are uploaded over REST, since GraphQL has no standard for files. */
@Resolver(() => RunView)
export class RunsResolver {
  constructor(
    private readonly runNodesService: RunNodesService,
    private readonly withdrawalsService: WithdrawalsService,
    private readonly runMovesService: RunMovesService,
    private readonly tracesService: TracesService,
  ) {}

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => RunConnection, {
    nullable: true,
    description: "Runs that you may see: accepted ones, or as the filters say; newest first",
  })
  async runs(@Args() args: RunsArgs, @CurrentAccount() caller: Caller | null): Promise<Connection<RunNode>> {
    return toConnection(await this.runNodesService.list(args, caller));
  }

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => RunView, {
    nullable: true,
    description: "One test with its log, figures and verdict, by its id; accepted ones are public",
  })
  run(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller | null,
  ): Promise<RunNode> {
    return this.runNodesService.get(id, caller);
  }

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => TraceView, { nullable: true, description: "A run's trace, reduced for a chart" })
  trace(@Args() args: TraceArgs, @CurrentAccount() caller: Caller | null): Promise<TraceView> {
    return this.tracesService.get(args.runId, args, caller);
  }

  @Mutation(() => RunView, {
    nullable: true,
    description: "Move a run to the specimen or pack that it is of; it is evaluated anew",
  })
  @Authenticated()
  async moveRun(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("input", { description: "The right pack or specimen, and why" }) input: RunMoveInput,
    @CurrentAccount() caller: Caller,
  ): Promise<RunNode> {
    await this.runMovesService.move(id, input, caller);
    return this.runNodesService.get(id, caller);
  }

  @Mutation(() => RunView, {
    nullable: true,
    description: "Accept why a run was withdrawn when its figures had been seen: it leaves its tester's means",
  })
  @Roles("moderator")
  async excuseWithdrawal(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("input", { description: "The cause" }) { note }: WithdrawalExcuseInput,
    @CurrentAccount() caller: Caller,
  ): Promise<RunNode> {
    await this.withdrawalsService.excuseWithdrawal(id, note, caller);
    return this.runNodesService.get(id, caller);
  }

  @Mutation(() => RunView, { nullable: true, description: "Withdraw your run; it stays in the record" })
  @Authenticated()
  async withdrawRun(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<RunNode> {
    await this.withdrawalsService.withdraw(id, caller);
    return this.runNodesService.get(id, caller);
  }
}

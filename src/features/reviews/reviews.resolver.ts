import { Args, Context, ID, Int, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { FastifyRequest } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { type RunNode, RunNodesService } from "../runs/nodes/run-nodes.service.js";
import { RunView } from "../runs/runs.views.js";
import { AppealsService } from "./decisions/appeals.service.js";
import { AppealView } from "./decisions/appeals.views.js";
import { MadeDecisionsService } from "./decisions/made-decisions.service.js";
import { MadeDecisionConnection, MadeDecisionsArgs, type MadeDecisionView } from "./decisions/made-decisions.views.js";
import { EvidenceService } from "./evidence/evidence.service.js";
import { EvidenceView, RunHistoryView } from "./evidence/evidence.views.js";
import { SummaryService } from "./evidence/summary.service.js";
import { EvidenceSummaryView } from "./evidence/summary.views.js";
import { ReviewsService } from "./reviews.service.js";
import {
  AnswerInput,
  ManyReviewsInput,
  QueuedRunConnection,
  ReplyInput,
  ReviewInput,
  ReviewOutcomesView,
  ReviewsArgs,
  ReviewView,
} from "./reviews.views.js";

@Resolver(() => ReviewView)
export class ReviewsResolver {
  constructor(
    private readonly reviewsService: ReviewsService,
    private readonly evidenceService: EvidenceService,
    private readonly runNodesService: RunNodesService,
    private readonly appealsService: AppealsService,
    private readonly summaryService: SummaryService,
    private readonly madeDecisionsService: MadeDecisionsService,
  ) {}

  @Query(() => QueuedRunConnection, {
    nullable: true,
    description: "Runs of others in a review state; those to decide on by risk, then the oldest first",
  })
  @Roles("moderator")
  async reviews(@Args() args: ReviewsArgs, @CurrentAccount() caller: Caller): Promise<Connection<RunNode>> {
    return toConnection(await this.reviewsService.queueNodes(args, caller));
  }

  @Query(() => EvidenceSummaryView, { nullable: true, description: "What decides on a run, in one short answer" })
  @Roles("moderator")
  evidenceSummary(
    @Args("runId", { type: () => ID, description: "The run in question, by its id" }) runId: string,
    @CurrentAccount() caller: Caller,
  ): Promise<EvidenceSummaryView> {
    return this.summaryService.of(runId, caller);
  }

  @Query(() => MadeDecisionConnection, {
    nullable: true,
    description: "Decisions on runs, the newest first: your own or a moderator's",
  })
  @Roles("moderator")
  async decisions(
    @Args() args: MadeDecisionsArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<Connection<MadeDecisionView>> {
    return toConnection(await this.madeDecisionsService.list(args, caller));
  }

  @Query(() => EvidenceView, {
    nullable: true,
    description: "Everything that there is to know before deciding on a run",
  })
  @Roles("moderator")
  evidence(
    @Args("runId", { type: () => ID, description: "The run in question, by its id" }) runId: string,
    @CurrentAccount() caller: Caller,
  ): Promise<EvidenceView> {
    return this.evidenceService.of(runId, caller);
  }

  @Query(() => RunHistoryView, { nullable: true, description: "What happened to your run, and why" })
  @Authenticated()
  runHistory(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<RunHistoryView> {
    return this.evidenceService.history(id, caller);
  }

  @Query(() => AppealView, {
    nullable: true,
    description: "The open appeal about a run, and who decides on it; null if none is open",
  })
  @Authenticated()
  appeal(
    @Args("runId", { type: () => ID, description: "The run in question, by its id" }) runId: string,
    @CurrentAccount() caller: Caller,
  ): Promise<AppealView | null> {
    return this.appealsService.of(runId, caller);
  }

  @Mutation(() => ReviewView, { nullable: true, description: "Decide on a run of another tester" })
  @Roles("moderator")
  reviewRun(
    @Args("runId", { type: () => ID, description: "The run in question, by its id" }) runId: string,
    @Args("input", { description: "The decision, the rules that it rests on and the reason" }) input: ReviewInput,
    @CurrentAccount() caller: Caller,
  ): Promise<ReviewView> {
    return this.reviewsService.decide(runId, input, caller);
  }

  @Mutation(() => ReviewOutcomesView, {
    nullable: true,
    description: "Make one decision on several runs; each is decided or refused separately",
  })
  @Roles("moderator")
  async reviewRuns(
    @Args("input", { description: "The runs, and the one decision on all of them" }) input: ManyReviewsInput,
    @CurrentAccount() caller: Caller,
    @Context("req") request: FastifyRequest,
  ): Promise<ReviewOutcomesView> {
    return { items: await this.reviewsService.decideMany(input, caller, request.id) };
  }

  @Mutation(() => ID, {
    nullable: true,
    description: "Take your last decision on a run back, within 15 minutes; its id",
  })
  @Roles("moderator")
  async undoReview(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.reviewsService.undo(id, caller);
    return id;
  }

  @Mutation(() => ID, {
    nullable: true,
    description: "Erase the text of one reason in a run's history; the audit log records the erasure. The run's id",
  })
  @Roles("administrator")
  async eraseReason(
    @Args("runId", { type: () => ID, description: "The run in question, by its id" }) runId: string,
    @Args("position", { type: () => Int, description: "Which entry of its history, as `position` there" })
    position: number,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.evidenceService.eraseReason(runId, position, caller);
    return runId;
  }

  @Mutation(() => RunView, {
    nullable: true,
    description:
      "Answer a moderator's question about your run; the run is pending again, or another run of yours replaces it",
  })
  @Authenticated()
  async answerReview(
    @Args("runId", { type: () => ID, description: "The run in question, by its id" }) runId: string,
    @Args("input", { description: "What the tester says to the moderator's question" }) input: AnswerInput,
    @CurrentAccount() caller: Caller,
  ): Promise<RunNode> {
    const { id } = await this.reviewsService.answer(runId, input, caller);
    return this.runNodesService.get(id, caller);
  }

  @Mutation(() => RunView, {
    nullable: true,
    description: "Appeal, once, against the rejection of your run; another moderator decides, or an administrator",
  })
  @Authenticated()
  async appealReview(
    @Args("runId", { type: () => ID, description: "The run in question, by its id" }) runId: string,
    @Args("input", { description: "What the tester says against the rejection" }) input: ReplyInput,
    @CurrentAccount() caller: Caller,
  ): Promise<RunNode> {
    const { id } = await this.reviewsService.reply(runId, "appeal", input, caller);
    return this.runNodesService.get(id, caller);
  }
}

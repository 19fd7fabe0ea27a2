import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Query, Req } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyRequest } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { toList } from "../../platform/paging/page.js";
import { RunView } from "../runs/runs.views.js";
import { AppealsService } from "./decisions/appeals.service.js";
import { RunAppealView } from "./decisions/appeals.views.js";
import { MadeDecisionsService } from "./decisions/made-decisions.service.js";
import { MadeDecisionList, MadeDecisionsArgs } from "./decisions/made-decisions.views.js";
import { EvidenceService } from "./evidence/evidence.service.js";
import { EvidenceView, RunHistoryView } from "./evidence/evidence.views.js";
import { SummaryService } from "./evidence/summary.service.js";
import { EvidenceSummaryView } from "./evidence/summary.views.js";
import { QueuedRunList, ReviewListQuery } from "./queue/review-list.views.js";
import { ReviewsService } from "./reviews.service.js";
import {
  AnswerInput,
  ManyReviewsInput,
  ReplyInput,
  ReviewInput,
  ReviewOutcomesView,
  ReviewView,
} from "./reviews.views.js";

@ApiTags("reviews")
@Controller("v1")
export class ReviewsController {
  constructor(
    private readonly reviewsService: ReviewsService,
    private readonly evidenceService: EvidenceService,
    private readonly appealsService: AppealsService,
    private readonly summaryService: SummaryService,
    private readonly madeDecisionsService: MadeDecisionsService,
  ) {}

  @Get("reviews")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "listReviewQueue",
    summary: "Runs of others in a review state; those to decide on by risk, then the oldest first",
  })
  @ApiOkResponse({ type: QueuedRunList })
  async queue(@Query() args: ReviewListQuery, @CurrentAccount() caller: Caller) {
    return toList(await this.reviewsService.queue(args, caller));
  }

  @Post("reviews")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required")
  @ApiOperation({
    operationId: "reviewRuns",
    summary: "Make one decision on several runs; each is decided or refused separately",
  })
  @ApiOkResponse({ type: ReviewOutcomesView })
  async decideMany(
    @Body() input: ManyReviewsInput,
    @CurrentAccount() caller: Caller,
    @Req() request: FastifyRequest,
  ): Promise<ReviewOutcomesView> {
    return { items: await this.reviewsService.decideMany(input, caller, request.id) };
  }

  @Delete("reviews/:id")
  @Roles("moderator")
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({ operationId: "undoReview", summary: "Take your last decision on a run back, within 15 minutes" })
  @ApiNoContentResponse()
  undo(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.reviewsService.undo(id, caller);
  }

  @Get("reviews/:runId/evidence")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({ operationId: "getEvidence", summary: "What decides on a run, in one short answer" })
  @ApiOkResponse({ type: EvidenceSummaryView })
  summaryOf(@Param("runId") runId: string, @CurrentAccount() caller: Caller): Promise<EvidenceSummaryView> {
    return this.summaryService.of(runId, caller);
  }

  @Get("reviews/:runId/evidence/full")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "getFullEvidence",
    summary: "Everything that there is to know before deciding on a run",
  })
  @ApiOkResponse({ type: EvidenceView })
  evidenceOf(@Param("runId") runId: string, @CurrentAccount() caller: Caller): Promise<EvidenceView> {
    return this.evidenceService.of(runId, caller);
  }

  @Get("reviews/decisions")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "listDecisions",
    summary: "Decisions on runs, the newest first: your own or a moderator's",
  })
  @ApiOkResponse({ type: MadeDecisionList })
  async decisions(@Query() args: MadeDecisionsArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.madeDecisionsService.list(args, caller));
  }

  @Post("runs/:id/reviews")
  @Roles("moderator")
  @Refuses("role-required", "claimed-by-another", "decision-not-possible", "run-not-conforming", "copy-undecided")
  @ApiOperation({ operationId: "reviewRun", summary: "Decide on a run of another tester" })
  @ApiCreatedResponse({ type: ReviewView })
  decide(@Param("id") id: string, @Body() input: ReviewInput, @CurrentAccount() caller: Caller): Promise<ReviewView> {
    return this.reviewsService.decide(id, input, caller);
  }

  @Get("runs/:id/history")
  @Authenticated()
  @Refuses("role-required")
  @ApiOperation({ operationId: "getRunHistory", summary: "What happened to your run, and why" })
  @ApiOkResponse({ type: RunHistoryView })
  history(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<RunHistoryView> {
    return this.evidenceService.history(id, caller);
  }

  @Delete("runs/:id/history/:position/reason")
  @Roles("administrator")
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "eraseReason",
    summary: "Erase the text of one reason in a run's history; the audit log records the erasure",
  })
  @ApiNoContentResponse()
  eraseReason(
    @Param("id") id: string,
    @Param("position") position: string,
    @CurrentAccount() caller: Caller,
  ): Promise<void> {
    return this.evidenceService.eraseReason(id, Number(position), caller);
  }

  @Post("runs/:id/answers")
  @Authenticated()
  @HttpCode(200)
  @Refuses("role-required", "decision-not-possible", "unknown-reference")
  @ApiOperation({
    operationId: "answerReview",
    summary:
      "Answer a moderator's question about your run; the run is pending again, or another run of yours replaces it",
  })
  @ApiOkResponse({ type: RunView })
  answer(@Param("id") id: string, @Body() input: AnswerInput, @CurrentAccount() caller: Caller): Promise<RunView> {
    return this.reviewsService.answer(id, input, caller);
  }

  @Get("runs/:id/appeal")
  @Authenticated()
  @Refuses("role-required")
  @ApiOperation({ operationId: "getAppeal", summary: "Whether an appeal about a run is open, and who decides on it" })
  @ApiOkResponse({ type: RunAppealView })
  async openAppeal(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<RunAppealView> {
    return { runId: id, appeal: await this.appealsService.of(id, caller) };
  }

  @Post("runs/:id/appeals")
  @Authenticated()
  @HttpCode(200)
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({
    operationId: "appealRejection",
    summary: "Appeal, once, against the rejection of your run; another moderator decides, or an administrator",
  })
  @ApiOkResponse({ type: RunView })
  appeal(@Param("id") id: string, @Body() input: ReplyInput, @CurrentAccount() caller: Caller): Promise<RunView> {
    return this.reviewsService.reply(id, "appeal", input, caller);
  }
}

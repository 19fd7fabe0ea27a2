import { Injectable } from "@nestjs/common";
import { outcomeOf, type Reply, type Undoing } from "../../core/lifecycle/run-lifecycle.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { mapPage, type Page, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { toProblem } from "../../platform/problems/to-problem.js";
import { pickMembers } from "../../platform/views/fields.js";
import { CopiesService } from "../copies/copies.service.js";
import { DecisionsService } from "../runs/decisions/decisions.service.js";
import { WithdrawalsService } from "../runs/decisions/withdrawals.service.js";
import { type RunNode, RunNodesService } from "../runs/nodes/run-nodes.service.js";
import { partsOfMembers, RunsService } from "../runs/runs.service.js";
import type { RunView } from "../runs/runs.views.js";
import { AppealsService } from "./decisions/appeals.service.js";
import { InterestsRepository } from "./decisions/interests.repository.js";
import { type Proposal, ProposalsRepository } from "./decisions/proposals.repository.js";
import { ClaimsRepository } from "./queue/claims.repository.js";
import { ClaimsService, claimView } from "./queue/claims.service.js";
import { QUEUED_RUN_SUMMARY, type QueuedRunItem, type ReviewListQuery } from "./queue/review-list.views.js";
import { RiskRepository } from "./queue/risk.repository.js";
import { ScoresService } from "./queue/scores.service.js";
import { ReviewsRepository } from "./reviews.repository.js";
import type {
  AnswerInput,
  ManyReviewsInput,
  ProposalView,
  QueuedRunView,
  ReplyInput,
  ReviewInput,
  ReviewOutcomeView,
  ReviewsArgs,
  ReviewView,
} from "./reviews.views.js";

/** How long a decision can be taken back by whoever made it. */
const UNDO_MINUTES = 15;

/** When several decisions are made at once none begins later than this, ms: they are answered in time however slow the database is. */
const MANY_BEGIN_MS = 20_000;
const LEFT = "The decisions before this one took too long. Send those that are left again.";

/** What the queue knows of a run beside the run itself. */
type QueuedFacts = Pick<QueuedRunView, "risk" | "claim" | "appeal" | "proposals">;

@Injectable()
export class ReviewsService {
  constructor(
    private readonly runsService: RunsService,
    private readonly runNodesService: RunNodesService,
    private readonly decisionsService: DecisionsService,
    private readonly withdrawalsService: WithdrawalsService,
    private readonly reviewsRepository: ReviewsRepository,
    private readonly riskRepository: RiskRepository,
    private readonly scoresService: ScoresService,
    private readonly auditLog: AuditLog,
    private readonly copiesService: CopiesService,
    private readonly claimsService: ClaimsService,
    private readonly claimsRepository: ClaimsRepository,
    private readonly appealsService: AppealsService,
    private readonly interestsRepository: InterestsRepository,
    private readonly proposalsRepository: ProposalsRepository,
  ) {}

  /** Runs of others in a review state: those to decide on by risk, then by age; the others by age. */
  async queue({ fields, ...args }: ReviewListQuery, caller: Caller): Promise<Page<QueuedRunItem>> {
    const members = fields ?? QUEUED_RUN_SUMMARY;
    const page = await this.queueOf(args, caller, async (ids) => {
      const runs = await this.runsService.getMany(ids, caller, partsOfMembers(members));
      return new Map(runs.map((run) => [run.id, run]));
    });
    return mapPage(page, (run) => pickMembers<QueuedRunView, keyof QueuedRunView>(run, members) as QueuedRunItem);
  }

  /** The same as GraphQL begins with them. */
  queueNodes(args: ReviewsArgs, caller: Caller): Promise<Page<RunNode & QueuedFacts>> {
    return this.queueOf(args, caller, (ids) => this.runNodesService.byIds(ids, caller));
  }

  private async queueOf<Run extends object>(
    args: ReviewsArgs,
    caller: Caller,
    read: (ids: readonly string[]) => Promise<ReadonlyMap<string, Run>>,
  ): Promise<Page<Run & QueuedFacts>> {
    const page = await this.queued(args, caller);
    const ids = page.items.map(({ id }) => id);
    const runs = await read(ids);
    const claims = await this.claimsRepository.openOf(ids);
    const appeals = await this.appealsService.viewsOf(ids);
    const proposals = await this.proposalsRepository.of(ids);
    return mapPage(page, ({ id, risk }) => {
      const claim = claims.get(id);
      return {
        ...(runs.get(id) as Run),
        risk,
        claim: claim ? claimView(claim) : null,
        appeal: appeals.get(id) ?? null,
        proposals: (proposals.get(id) ?? []).map(proposalView),
      };
    });
  }

  private async queued(
    args: ReviewsArgs,
    caller: Caller,
  ): Promise<Page<{ readonly id: string; readonly risk: QueuedRunView["risk"] }>> {
    const state = args.state ?? "pending";
    if (state !== "pending" && state !== "info-requested") {
      return mapPage(await this.runsService.listForReview(state, args, caller), ({ id }) => ({ id, risk: null }));
    }
    await this.scoresService.catchUp();
    const page = await readPage(args, {
      name: "reviews by risk",
      filters: { state, notBy: caller.id },
      keys: ["number", "uuid"],
      read: (window) => this.riskRepository.queue(state, caller.id, window),
      count: () => this.riskRepository.count(state, caller.id),
      keyOf: ({ score, runId }) => [score, runId],
    });
    return mapPage(page, ({ runId, score, parts }) => ({ id: runId, risk: parts && { score, ...parts } }));
  }

  /** Decides on a run of another tester; the ranking follows in the same transaction. */
  async decide(runId: string, input: ReviewInput, caller: Caller): Promise<ReviewView> {
    requireNote(input);
    const run = await this.decidable(runId, caller);
    requireKnownRules(run, input);
    await this.claimsService.requireNotTaken(run.id, caller);
    await this.appealsService.requireAnother(run.id, caller);
    const competes = await this.interestsRepository.competes(caller.id, run.id);
    if (competes && !(await this.mayStandIn(run.id, input, caller))) return this.propose(run, input, caller);
    const by = { actorId: caller.id, reason: input.note ?? null, rules: input.rules };
    const independentOf = input.independentOf ?? [];
    // Only a run that has figures is ever compared.
    if (input.decision === "accept" && run.state === "processed") await this.copiesService.awaitCheck(run.id);
    const { review, result } = await this.decisionsService.decide(
      run,
      input.decision,
      by,
      async (tx, before) => {
        await this.copiesService.requireFound(tx, run.id, independentOf);
        if (input.decision === "accept") await this.copiesService.requireDecided(tx, run.id, independentOf);
        return this.reviewsRepository.create(tx, run.id, caller.id, input, before);
      },
      input.evaluationId ?? null,
    );
    return { ...viewOf(run, input, caller), id: result.id, createdAt: result.createdAt.toISOString(), review };
  }

  /**
   * Decides on several runs alike, each by itself: one that is refused does not keep the others. When that takes too long, those that are left
   * are refused with `too-busy`.
   */
  async decideMany(
    { runIds, ...input }: ManyReviewsInput,
    caller: Caller,
    requestId: string,
    beginsForMs = MANY_BEGIN_MS,
  ): Promise<ReviewOutcomeView[]> {
    requireNote(input);
    const outcomes: ReviewOutcomeView[] = [];
    const begun = performance.now();
    for (const runId of new Set(runIds)) {
      try {
        if (outcomes.length > 0 && performance.now() - begun >= beginsForMs) throw new Problem("too-busy", LEFT);
        outcomes.push({ runId, review: await this.decide(runId, input, caller), problem: null });
      } catch (error) {
        const problem = toProblem(error);
        if (!problem || (problem.status >= 500 && problem.code !== "too-busy")) throw error;
        outcomes.push({ runId, review: null, problem: problem.toBody(requestId) });
      }
    }
    return outcomes;
  }

  /**
   * Takes the last decision on a run back: one's own within a quarter of an hour, that of the acceptance rule whenever. What the
   * rule has accepted is no run of one's own, nor one that one competes with.
   */
  async undo(reviewId: string, caller: Caller): Promise<void> {
    const review = await this.reviewsRepository.find(idOf(reviewId, "review"));
    const isOfRule = review?.moderatorId === null;
    if (!review || !(isOfRule || review.moderatorId === caller.id)) throw notFound("review of yours");
    const run = isOfRule
      ? await this.decidable(review.runId, caller)
      : await this.runsService.get(review.runId, caller);
    if (isOfRule && (await this.interestsRepository.competes(caller.id, run.id))) {
      throw new Problem(
        "role-required",
        "You have a conflict of interest. Decide on the run instead; a moderator without one must agree.",
      );
    }
    const latest = await this.reviewsRepository.latest(run.id);
    const isLast = latest?.id === review.id && run.review === outcomeOf(review.decision as ReviewInput["decision"]);
    const isRecent = isOfRule || Date.now() - review.createdAt.getTime() <= UNDO_MINUTES * 60_000;
    if (!isLast || !isRecent || review.previousReview === null) {
      throw new Problem(
        "decision-not-possible",
        `Only the last decision on a run can be undone, within ${UNDO_MINUTES} minutes. Make a new decision instead.`,
      );
    }
    const event = `undo-to-${review.previousReview}` as Undoing;
    await this.decisionsService.decide(run, event, { actorId: caller.id }, async (tx) => {
      if (event === "undo-to-accepted") await this.copiesService.requireDecided(tx, run.id, []);
      await this.reviewsRepository.settle(tx, run.id);
    });
  }

  /** The tester answers what was asked, or appeals once against a rejection; the run waits again. */
  async reply(runId: string, event: Reply, { note }: ReplyInput, caller: Caller): Promise<RunView> {
    const run = await this.runsService.get(runId, caller);
    if (run.tester.id !== caller.id) throw new Problem("role-required", "Only its tester may do this.");
    const rejectedById = (await this.reviewsRepository.latest(run.id))?.moderatorId ?? null;
    await this.decisionsService.decide(run, event, { actorId: caller.id, reason: note }, async (tx) => {
      await this.reviewsRepository.settle(tx, run.id);
      if (event === "appeal") await this.appealsService.tellAdministrators(tx, run.id, rejectedById);
    });
    return this.runsService.get(run.id, caller);
  }

  /** The tester answers what was asked, in words, or with another run in whose favour this one is withdrawn. */
  answer(runId: string, { note, replacedBy }: AnswerInput, caller: Caller): Promise<RunView> {
    return replacedBy
      ? this.withdrawalsService.replace(runId, replacedBy, note, caller)
      : this.reply(runId, "answer", { note }, caller);
  }

  private async decidable(runId: string, caller: Caller): Promise<RunView> {
    const run = await this.runsService.get(runId, caller);
    if (run.tester.id === caller.id) throw new Problem("role-required", "You cannot review your own run.");
    return run;
  }

  /** An administrator stands in where everybody who could agree has a conflict of interest too, and somebody else proposes the same. */
  private async mayStandIn(runId: string, { decision }: ReviewInput, caller: Caller): Promise<boolean> {
    return (
      caller.role === "administrator" &&
      (await this.proposalsRepository.isSeconded(runId, caller.id, decision)) &&
      (await this.interestsRepository.nobodyIsFree(runId))
    );
  }

  private async propose(run: RunView, input: ReviewInput, caller: Caller): Promise<ReviewView> {
    const proposal = await this.auditLog.transaction(async (tx) => {
      await this.decisionsService.requireSeen(tx, run.id, input.evaluationId ?? null);
      const by = { actorId: caller.id, reason: input.note ?? null, rules: input.rules };
      const status = `${run.state}/${run.review}`;
      const subject = { kind: "run", id: run.id } as const;
      this.auditLog.record(tx, { ...by, event: `propose-${input.decision}`, subject, from: status, to: status });
      return this.proposalsRepository.propose(tx, run.id, caller.id, input.decision);
    });
    const createdAt = new Date().toISOString();
    const waitsFor = await this.interestsRepository.arbiterOf(run.id, caller.id);
    const proposed = { review: run.review, effective: false, waitsFor };
    return { ...viewOf(run, input, caller), id: proposal.id, createdAt, ...proposed };
  }
}

export function proposalView({ moderator, decision, createdAt }: Proposal): ProposalView {
  return { moderator, decision: decision as ReviewInput["decision"], createdAt: createdAt.toISOString() };
}

function viewOf(run: RunView, { decision, rules, note, independentOf }: ReviewInput, { id, handle }: Caller) {
  const moderator = { id, handle };
  return {
    runId: run.id,
    decision,
    rules,
    note: note ?? null,
    independentOf: independentOf ?? [],
    moderator,
    effective: true,
    waitsFor: null,
  };
}

/** Its tester is told why a run is rejected, and what is asked; an acceptance says enough. */
function requireNote({ decision, note }: Pick<ReviewInput, "decision" | "note">): void {
  if (decision === "accept" || note) return;
  throw invalidInput([{ pointer: "/note", message: "is required to reject a run and to request information" }]);
}

/** A decision names only rules that were looked at. */
function requireKnownRules({ conformance }: RunView, { rules }: ReviewInput): void {
  const known = new Set(conformance?.findings.map(({ rule }) => rule));
  const unknown = rules.flatMap((rule, index) => (known.has(rule) ? [] : [index]));
  if (unknown.length > 0) {
    throw invalidInput(
      unknown.map((index) => ({ pointer: `/rules/${index}`, message: "is not a rule of this protocol" })),
    );
  }
}

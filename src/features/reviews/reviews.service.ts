import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import type { Page } from "../../platform/paging/page.js";
import { Problem } from "../../platform/problems/problem.js";
import { CopiesService } from "../copies/copies.service.js";
import { RunsService } from "../runs/runs.service.js";
import type { RunView } from "../runs/runs.views.js";
import { ReviewsRepository } from "./reviews.repository.js";
import type { ReviewInput, ReviewsArgs, ReviewView } from "./reviews.views.js";

@Injectable()
export class ReviewsService {
  constructor(
    private readonly runs: RunsService,
    private readonly reviews: ReviewsRepository,
    private readonly copies: CopiesService,
  ) {}

  /** Runs of others in a review state, oldest first. */
  queue(args: ReviewsArgs, caller: Caller): Promise<Page<RunView>> {
    return this.runs.listForReview(args.state ?? "waiting", args, caller);
  }

  /** Decides on a run of another tester; the ranking follows in the same transaction. */
  async decide(runId: string, input: ReviewInput, caller: Caller): Promise<ReviewView> {
    const run = await this.runs.get(runId, caller);
    if (run.tester.id === caller.id) throw new Problem("role-required", "Nobody decides on runs of their own.");
    requireKnownRules(run, input);
    const by = { actorId: caller.id, reason: input.note, rules: input.rules };
    const independentOf = input.independentOf ?? [];
    if (input.decision === "accept") await this.copies.awaitCheck(run.id);
    const { review, result } = await this.runs.decide(run, input.decision, by, async (tx) => {
      await this.copies.requireFound(tx, run.id, independentOf);
      if (input.decision === "accept") await this.copies.requireDecided(tx, run.id, independentOf);
      return this.reviews.create(tx, run.id, caller.id, input);
    });
    return {
      id: result.id,
      runId: run.id,
      decision: input.decision,
      rules: result.rules,
      independentOf: result.independentOf,
      note: result.note,
      moderator: { id: caller.id, handle: caller.handle },
      createdAt: result.createdAt.toISOString(),
      review,
    };
  }
}

/** A decision names only rules that were looked at. */
function requireKnownRules({ conformance }: RunView, { rules }: ReviewInput): void {
  const known = new Set(conformance?.findings.map(({ rule }) => rule));
  const unknown = rules.flatMap((rule, index) => (known.has(rule) ? [] : [index]));
  if (unknown.length > 0) {
    throw invalidInput(
      unknown.map((index) => ({ pointer: `/rules/${index}`, message: "is no rule of the run's protocol" })),
    );
  }
}

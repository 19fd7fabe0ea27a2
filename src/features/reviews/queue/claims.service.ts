import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import { Problem } from "../../../platform/problems/problem.js";
import { toProblem } from "../../../platform/problems/to-problem.js";
import { RunsService } from "../../runs/runs.service.js";
import { type Claim, ClaimsRepository } from "./claims.repository.js";
import { type ClaimOutcomeView, type ClaimView, MAX_CLAIMED } from "./claims.views.js";

const CLAIM_MINUTES = 30;
/** From the first claim of a moderator on a run, within a day. */
const MAX_CLAIM_MINUTES = 60;

/** Keeps moderators from looking at the same run at the same time, and from keeping one to themselves. */
@Injectable()
export class ClaimsService {
  constructor(
    private readonly claimsRepository: ClaimsRepository,
    private readonly runsService: RunsService,
  ) {}

  /** Takes a run for half an hour, in which no other moderator decides on it; again, for up to an hour in all. */
  async claim(runId: string, caller: Caller): Promise<ClaimView> {
    const { id, testerId } = await this.runsService.visible(runId, caller);
    if (testerId === caller.id) throw new Problem("role-required", "You cannot review your own run.");
    if ((await this.claimsRepository.count(caller.id, id)) >= MAX_CLAIMED) {
      throw new Problem("limit-reached", `You have claimed ${MAX_CLAIMED} runs. Decide on some, or release them.`);
    }
    const outcome = await this.claimsRepository.claim(id, caller.id, {
      minutes: CLAIM_MINUTES,
      maxMinutes: MAX_CLAIM_MINUTES,
    });
    const claim = await this.claimsRepository.openOfRun(id);
    if (outcome === "used-up") throw usedUp();
    if (outcome === "taken" || !claim) throw claimedByAnother(claim?.handle ?? "another moderator");
    return claimView(claim);
  }

  /** Takes several runs, each by itself. */
  async claimMany(runIds: readonly string[], caller: Caller, requestId: string): Promise<ClaimOutcomeView[]> {
    const outcomes: ClaimOutcomeView[] = [];
    for (const runId of new Set(runIds)) {
      try {
        outcomes.push({ runId, claim: await this.claim(runId, caller), problem: null });
      } catch (error) {
        const problem = toProblem(error);
        if (!problem || problem.status >= 500) throw error;
        outcomes.push({ runId, claim: null, problem: problem.toBody(requestId) });
      }
    }
    return outcomes;
  }

  async release(runId: string, caller: Caller): Promise<void> {
    const { id } = await this.runsService.visible(runId, caller);
    await this.claimsRepository.release(caller.id, id);
  }

  async releaseAll(caller: Caller): Promise<void> {
    await this.claimsRepository.release(caller.id);
  }

  /** @throws Problem while another moderator has the run */
  async requireNotTaken(runId: string, caller: Caller): Promise<void> {
    const claim = await this.claimsRepository.openOfRun(runId);
    if (claim && claim.moderatorId !== caller.id) throw claimedByAnother(claim.handle);
  }
}

export function claimView({ runId, moderatorId, handle, since, until }: Claim): ClaimView {
  const renewableUntil = new Date(since.getTime() + MAX_CLAIM_MINUTES * 60_000).toISOString();
  return { runId, moderator: { id: moderatorId, handle }, until: until.toISOString(), renewableUntil };
}

function claimedByAnother(handle: string): Problem {
  return new Problem("claimed-by-another", `${handle} is looking at this run. Take another one, or wait.`);
}

function usedUp(): Problem {
  return new Problem(
    "claim-used-up",
    `You have had this run for ${MAX_CLAIM_MINUTES} minutes. Decide on it, or leave it to others for a day.`,
  );
}

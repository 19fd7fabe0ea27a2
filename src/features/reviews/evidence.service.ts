import { Injectable } from "@nestjs/common";
import type { Decision } from "../../core/lifecycle/run-lifecycle.js";
import { departureFrom } from "../../core/statistics/departure.js";
import type { Caller } from "../../platform/auth/account.js";
import { notFound } from "../../platform/problems/problem.js";
import type { StoredLink } from "../../platform/record/chain.repository.js";
import { Happenings } from "../../platform/record/happenings.js";
import { AcceptanceService } from "../acceptance/acceptance.service.js";
import { CopiesService } from "../copies/copies.service.js";
import { RunsService } from "../runs/runs.service.js";
import { type ComparedFigure, EvidenceRepository } from "./evidence.repository.js";
import type {
  DepartureView,
  EvidenceView,
  LatestDecisionView,
  RunHistoryView,
  TransitionView,
} from "./evidence.views.js";
import { type Claim, ReviewsRepository } from "./reviews.repository.js";
import type { ClaimView } from "./reviews.views.js";
import { RiskRepository } from "./risk.repository.js";

/** Gathers what there is to know before deciding on a run. */
@Injectable()
export class EvidenceService {
  constructor(
    private readonly runs: RunsService,
    private readonly evidence: EvidenceRepository,
    private readonly reviews: ReviewsRepository,
    private readonly risks: RiskRepository,
    private readonly copies: CopiesService,
    private readonly happenings: Happenings,
    private readonly acceptance: AcceptanceService,
  ) {}

  async of(runId: string, caller: Caller): Promise<EvidenceView> {
    const run = await this.runs.get(runId, caller);
    const risk = await this.risks.of(run.id);
    if (!risk) throw notFound("run");
    const claim = await this.reviews.claimOf(run.id);
    const { since, ...counts } = await this.evidence.historyOf(run.tester.id);
    return {
      run,
      trace: `/v1/runs/${run.id}/trace`,
      risk,
      claim: claim && claimView(run.id, claim),
      youCompete: await this.reviews.competes(caller.id, run.id),
      history: await this.historyOf(run.id),
      runsOfPack: await this.runs.getMany(await this.evidence.runsOfPack(run.id), caller),
      sameLog: await this.runs.getMany(await this.evidence.sameLog(run.id), caller),
      copies: await this.copies.list(run.id, caller),
      tester: { since: since.toISOString(), ...counts },
      effects: await this.evidence.effects(run.id),
      departures: { at: new Date().toISOString(), items: departuresOf(await this.evidence.comparedFigures(run.id)) },
      acceptance: await this.acceptance.check(run.id),
      ...(await this.runs.replacements(run.id, caller)),
      latestDecision: await this.latestDecision(run.id),
    };
  }

  /** Erases words that should not stand in the record, such as another person's name. That they were there remains. */
  async eraseReason(runId: string, position: number, caller: Caller): Promise<void> {
    const { id } = await this.runs.visible(runId, caller);
    const isPosition = Number.isSafeInteger(position) && position > 0;
    const subject = { kind: "run", id } as const;
    const erased =
      isPosition &&
      (await this.happenings.transaction((tx) => this.happenings.eraseWordsAt(tx, position, subject, caller.id)));
    if (!erased) throw notFound("reason");
  }

  private async latestDecision(runId: string): Promise<LatestDecisionView | null> {
    const latest = await this.reviews.latest(runId);
    if (!latest) return null;
    const { id, decision, moderatorId, ruleVersion, createdAt } = latest;
    const at = createdAt.toISOString();
    return { id, decision: decision as Decision, moderatorId, ruleVersion, createdAt: at };
  }

  /** What happened to a run, for its tester and for those who review. */
  async history(runId: string, caller: Caller): Promise<RunHistoryView> {
    const run = await this.runs.get(runId, caller);
    if (run.tester.id !== caller.id && caller.role === "tester") throw notFound("run");
    return this.historyOf(run.id);
  }

  private async historyOf(runId: string): Promise<RunHistoryView> {
    return { items: (await this.happenings.about("run", runId)).map(transitionView) };
  }
}

export function claimView(runId: string, { moderatorId, handle, until }: Claim): ClaimView {
  return { runId, moderator: { id: moderatorId, handle }, until: until.toISOString() };
}

function transitionView({ position, at, actor, event, from, to, rules, words }: StoredLink): TransitionView {
  return { position, at, actorId: actor, event, from, to, rules: [...rules], reason: words?.text ?? null };
}

/** Each figure that enough others have, the farthest first. */
function departuresOf(compared: readonly ComparedFigure[]): DepartureView[] {
  const departures = [...Map.groupBy(compared, ({ figure }) => figure).values()].flatMap((rows) => {
    const [{ figure, unit, value, uncertainty }] = rows as [ComparedFigure, ...ComparedFigure[]];
    const others = rows.map(({ otherTester, otherValue, otherUncertainty }) => ({
      testerId: otherTester,
      value: otherValue,
      uncertainty: otherUncertainty,
    }));
    const departure = departureFrom(others, { value, uncertainty });
    return departure ? [{ figure, unit, value, uncertainty, ...departure }] : [];
  });
  return departures.sort((a, b) => Math.abs(b.z) - Math.abs(a.z));
}

import { Injectable } from "@nestjs/common";
import type { Decision } from "../../../core/lifecycle/run-lifecycle.js";
import { departureFrom } from "../../../core/statistics/departure.js";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import type { StoredAuditEntry } from "../../../platform/audit-log/audit-log.repository.js";
import type { Caller } from "../../../platform/auth/account.js";
import { notFound } from "../../../platform/problems/problem.js";
import { AccountsService } from "../../accounts/accounts.service.js";
import type { TesterView } from "../../accounts/accounts.views.js";
import { AutoAcceptService } from "../../auto-accept/auto-accept.service.js";
import { CopiesService } from "../../copies/copies.service.js";
import { RunsService } from "../../runs/runs.service.js";
import { InterestsRepository } from "../decisions/interests.repository.js";
import { ClaimsRepository } from "../queue/claims.repository.js";
import { claimView } from "../queue/claims.service.js";
import { RiskRepository } from "../queue/risk.repository.js";
import { ReviewsRepository } from "../reviews.repository.js";
import { type ComparedFigure, EvidenceRepository } from "./evidence.repository.js";
import type {
  AuditEntryView,
  DepartureView,
  EvidenceView,
  LatestDecisionView,
  RunHistoryView,
} from "./evidence.views.js";
import { PlausibilityService } from "./plausibility.service.js";

/** Gathers what there is to know before deciding on a run. */
@Injectable()
export class EvidenceService {
  constructor(
    private readonly runsService: RunsService,
    private readonly evidenceRepository: EvidenceRepository,
    private readonly reviewsRepository: ReviewsRepository,
    private readonly riskRepository: RiskRepository,
    private readonly copiesService: CopiesService,
    private readonly auditLog: AuditLog,
    private readonly autoAcceptService: AutoAcceptService,
    private readonly plausibilityService: PlausibilityService,
    private readonly accountsService: AccountsService,
    private readonly claimsRepository: ClaimsRepository,
    private readonly interestsRepository: InterestsRepository,
  ) {}

  async of(runId: string, caller: Caller): Promise<EvidenceView> {
    const { currentEvaluationId } = await this.runsService.visible(runId, caller);
    const run = await this.runsService.get(runId, caller);
    const found = await this.riskRepository.of(run.id);
    if (!found) throw notFound("run");
    const { runId: _, ...risk } = found;
    const claim = await this.claimsRepository.openOfRun(run.id);
    const { since, ...counts } = await this.evidenceRepository.historyOf(run.tester.id);
    const effects = await this.evidenceRepository.effects(run.id);
    return {
      run,
      evaluationId: currentEvaluationId,
      trace: `/v1/runs/${run.id}/trace`,
      risk,
      claim: claim && claimView(claim),
      youCompete: await this.interestsRepository.competes(caller.id, run.id),
      history: await this.historyOf(run.id),
      runsOfPack: await this.runsService.getMany(await this.evidenceRepository.runsOfPack(run.id), caller),
      sameLog: await this.runsService.getMany(await this.evidenceRepository.sameLog(run.id), caller),
      copies: await this.copiesService.list(run.id, caller),
      tester: { since: since.toISOString(), ...counts },
      effects,
      plausibility: await this.plausibilityService.of(run.id, effects),
      departures: {
        at: (await this.evidenceRepository.comparedAt(run.id)).toISOString(),
        items: departuresOf(await this.evidenceRepository.comparedFigures(run.id)),
      },
      acceptance: await this.autoAcceptService.check(run.id),
      ...(await this.runsService.replacements(run.id, caller)),
      latestDecision: await this.latestDecision(run.id),
    };
  }

  /** Erases a reason that should not stand in the audit log, such as another person's name. That there was one remains recorded. */
  async eraseReason(runId: string, position: number, caller: Caller): Promise<void> {
    const { id } = await this.runsService.visible(runId, caller);
    const isPosition = Number.isSafeInteger(position) && position > 0;
    const subject = { kind: "run", id } as const;
    const erased =
      isPosition &&
      (await this.auditLog.transaction((tx) => this.auditLog.eraseReasonAt(tx, position, subject, caller.id)));
    if (!erased) throw notFound("reason");
  }

  async latestDecision(runId: string): Promise<LatestDecisionView | null> {
    const latest = await this.reviewsRepository.latest(runId);
    if (!latest) return null;
    const { id, decision, moderatorId, ruleVersion, createdAt } = latest;
    const at = createdAt.toISOString();
    const moderator = moderatorId
      ? ((await this.accountsService.testersByIds([moderatorId])).get(moderatorId) ?? null)
      : null;
    return { id, decision: decision as Decision, moderatorId, moderator, ruleVersion, createdAt: at };
  }

  /** The audit log of a run, for its tester and for those who review. */
  async history(runId: string, caller: Caller): Promise<RunHistoryView> {
    const run = await this.runsService.get(runId, caller);
    if (run.tester.id !== caller.id && caller.role === "tester") throw notFound("run");
    return this.historyOf(run.id);
  }

  private async historyOf(runId: string): Promise<RunHistoryView> {
    const entries = await this.auditLog.entriesFor("run", runId);
    const actors = await this.accountsService.testersByIds(entries.flatMap(({ actor }) => actor ?? []));
    return { items: entries.map((entry) => auditEntryView(entry, actors)) };
  }
}

function auditEntryView(
  { position, at, actor: actorId, event, from, to, rules, reason }: StoredAuditEntry,
  actors: ReadonlyMap<string, TesterView>,
): AuditEntryView {
  const actor = (actorId && actors.get(actorId)) || null;
  return { position, at, actorId, actor, event, from, to, rules: [...rules], reason: reason?.text ?? null };
}

/** Each figure that enough others have, the farthest first. */
function departuresOf(compared: readonly ComparedFigure[]): DepartureView[] {
  const departures = [...Map.groupBy(compared, ({ figure, load }) => `${figure} ${load}`).values()].flatMap((rows) => {
    const [{ figure, load, unit, value, uncertainty }] = rows as [ComparedFigure, ...ComparedFigure[]];
    const others = rows.map(({ otherTester, otherValue, otherUncertainty }) => ({
      testerId: otherTester,
      value: otherValue,
      uncertainty: otherUncertainty,
    }));
    const departure = departureFrom(others, { value, uncertainty });
    return departure ? [{ figure, load, unit, value, uncertainty, ...departure }] : [];
  });
  return departures.sort((a, b) => Math.abs(b.z) - Math.abs(a.z));
}

import { Injectable } from "@nestjs/common";
import { decisiveFigures, type LoadedFigure } from "../../../core/figures/decisive.js";
import { blockingRules } from "../../../core/protocol/conformance.js";
import { departureFrom, type Middle, middleOf } from "../../../core/statistics/departure.js";
import type { Caller } from "../../../platform/auth/account.js";
import { notFound } from "../../../platform/problems/problem.js";
import { CopiesService } from "../../copies/copies.service.js";
import type { CopyView } from "../../copies/copies.views.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { RecordsService } from "../../records/records.service.js";
import { DecisionsService } from "../../runs/decisions/decisions.service.js";
import type { FindingView } from "../../runs/evaluation/evaluation.views.js";
import { RunsService } from "../../runs/runs.service.js";
import type { RunView } from "../../runs/runs.views.js";
import { AppealsService } from "../decisions/appeals.service.js";
import { InterestsRepository } from "../decisions/interests.repository.js";
import { ProposalsRepository } from "../decisions/proposals.repository.js";
import { ClaimsRepository } from "../queue/claims.repository.js";
import { claimView } from "../queue/claims.service.js";
import { RiskRepository } from "../queue/risk.repository.js";
import { proposalView } from "../reviews.service.js";
import { type Effect, EvidenceRepository } from "./evidence.repository.js";
import { EvidenceService } from "./evidence.service.js";
import { PlausibilityService } from "./plausibility.service.js";
import { type OthersFigure, type OwnFigure, type PackStandingRow, SummaryRepository } from "./summary.repository.js";
import {
  type AcceptanceEffectView,
  type EvidenceSummaryView,
  type JudgedCopyView,
  type JudgedFigureView,
  type JudgedRuleView,
  MAX_NAMED,
  type RankedValueView,
} from "./summary.views.js";

/** Most characters of an appeal's words here. */
const MAX_NOTE = 200;
const FINDINGS_ALONE = { figures: false, findings: true, adjustments: false, keyFigures: false } as const;

/** Makes the short answer by which a run is decided on. */
@Injectable()
export class SummaryService {
  constructor(
    private readonly runsService: RunsService,
    private readonly protocolsService: ProtocolsService,
    private readonly decisionsService: DecisionsService,
    private readonly copiesService: CopiesService,
    private readonly recordsService: RecordsService,
    private readonly plausibilityService: PlausibilityService,
    private readonly evidenceService: EvidenceService,
    private readonly appealsService: AppealsService,
    private readonly summaryRepository: SummaryRepository,
    private readonly evidenceRepository: EvidenceRepository,
    private readonly riskRepository: RiskRepository,
    private readonly claimsRepository: ClaimsRepository,
    private readonly interestsRepository: InterestsRepository,
    private readonly proposalsRepository: ProposalsRepository,
  ) {}

  async of(runId: string, caller: Caller): Promise<EvidenceSummaryView> {
    const { currentEvaluationId } = await this.runsService.visible(runId, caller);
    const run = await this.runsService.get(runId, caller, FINDINGS_ALONE);
    const found = await this.riskRepository.of(run.id);
    if (!found) throw notFound("run");
    const { runId: _, ...risk } = found;
    const ranked = await this.evidenceRepository.effects(run.id);
    const own = await this.summaryRepository.figuresOf(run.id);
    const meanA = own.find(({ figure }) => figure === "current-mean")?.value ?? null;
    const chosen = decisiveFigures(own, meanA);
    const { copies } = await this.copiesService.list(run.id, caller);
    const claim = await this.claimsRepository.openOfRun(run.id);
    const { looksMade, signs } = await this.plausibilityService.of(run.id, ranked);
    const { replaces } = await this.runsService.replacements(run.id, caller);
    const appeal = await this.appealsService.of(run.id, caller);
    const proposals = (await this.proposalsRepository.of([run.id])).get(run.id) ?? [];
    return {
      runId: run.id,
      evaluationId: currentEvaluationId,
      full: `/v1/reviews/${run.id}/evidence/full`,
      trace: `/v1/runs/${run.id}/trace`,
      state: run.state,
      review: run.review,
      verdict: run.verdict,
      protocol: run.protocol,
      uploadedAt: run.uploadedAt,
      pack: { id: run.pack.id, name: `${run.pack.maker} ${run.pack.name}`, confirmed: run.pack.status === "confirmed" },
      ...(await this.rulesOf(run)),
      figures: figureViews(chosen, await this.summaryRepository.othersOf(run.id, chosen), ranked),
      copyCount: copies.length,
      copies: copies
        .toSorted((a, b) => Number(b.holdsUp) - Number(a.holdsUp))
        .slice(0, MAX_NAMED.copies)
        .map(copyView),
      sameLogCount: (await this.evidenceRepository.sameLog(run.id)).length,
      looksMade,
      signs,
      tester: await this.testerOf(run),
      effects: await this.effectsOf(run.id, chosen),
      risk,
      youCompete: await this.interestsRepository.competes(caller.id, run.id),
      claim: claim && claimView(claim),
      appeal: appeal && { ...appeal, note: appeal.note && shortened(appeal.note, MAX_NOTE) },
      proposals: proposals.slice(0, MAX_NAMED.proposals).map(proposalView),
      replaces: replaces.slice(0, MAX_NAMED.replaces).map(({ id }) => id),
      latestDecision: await this.evidenceService.latestDecision(run.id),
    };
  }

  private async rulesOf({ protocol, conformance }: RunView) {
    const { rules } = await this.protocolsService.document(protocol.key, protocol.version);
    const findings = conformance?.findings ?? [];
    const blocking = new Set(blockingRules(findings, rules));
    const failed = findings.filter(({ rule }) => blocking.has(rule));
    const remarks = findings.filter(({ rule, outcome }) => outcome === "fail" && !blocking.has(rule));
    return {
      failedCount: failed.length,
      failed: failed.slice(0, MAX_NAMED.rules).map(ruleView),
      remarkCount: remarks.length,
      remarks: remarks.slice(0, MAX_NAMED.rules).map(ruleView),
    };
  }

  private async testerOf({ id, tester }: RunView) {
    const { since, ...counts } = await this.evidenceRepository.historyOf(tester.id);
    const { status } = await this.recordsService.of(tester.id);
    return { ...tester, since: since.toISOString(), ...counts, status, ...(await this.summaryRepository.triesOf(id)) };
  }

  private async effectsOf(runId: string, figures: readonly LoadedFigure[]): Promise<AcceptanceEffectView[]> {
    const before = await this.summaryRepository.standingsOf(runId);
    const after = await this.decisionsService.asIfAccepted(runId, (tx) =>
      this.summaryRepository.standingsOf(runId, tx),
    );
    if (!after) return [];
    return figures.flatMap(({ figure, load }) => {
      const [was, is] = [before, after].map((rows) => rows.find((row) => row.figure === figure && row.load === load));
      return was || is ? [{ figure, load, before: rankedView(was), after: rankedView(is) }] : [];
    });
  }
}

function ruleView({ rule, outcome, observed, limit, unit, message }: FindingView): JudgedRuleView {
  return {
    rule,
    outcome,
    observed: observed === null ? null : shown(observed),
    limit: shortened(limit, 60),
    unit,
    message: shortened(message, 100),
  };
}

/** Enough digits to judge by. */
const shown = (value: number): number => Number(value.toPrecision(6));

const shownMiddle = (middle: Middle | null) =>
  middle && { ...middle, median: shown(middle.median), spread: shown(middle.spread) };

const shortened = (text: string, most: number): string =>
  text.length <= most ? text : `${text.slice(0, most - 1).trimEnd()}…`;

function figureViews(
  figures: readonly OwnFigure[],
  others: readonly OthersFigure[],
  ranked: readonly Effect[],
): JudgedFigureView[] {
  return figures.map((own) => {
    const isSame = ({ figure, load }: LoadedFigure) => figure === own.figure && load === own.load;
    const same = others.filter(isSame);
    const effect = ranked.find(isSame);
    const departure = departureFrom(same, own);
    return {
      ...own,
      value: shown(own.value),
      uncertainty: shown(own.uncertainty),
      accepted: shownMiddle(middleOf(same.filter(({ isAccepted }) => isAccepted))),
      acceptedAndPending: shownMiddle(middleOf(same)),
      z: departure && shown(departure.z),
      place: effect?.packPlace ?? null,
      placeAlone: effect?.placeAlone ?? null,
    };
  });
}

function copyView({ runId, review, isLater, otherTester, otherPack, holdsUp, agreements }: CopyView): JudgedCopyView {
  const score = Math.max(0, ...agreements.map((one) => one.score));
  return { runId, review, cameFirst: !isLater, otherTester, otherPack, holdsUp, score: shown(score) };
}

function rankedView(row: PackStandingRow | undefined): RankedValueView | null {
  if (!row) return null;
  const { value, uncertainty, testers, established, place } = row;
  return { value: shown(value), uncertainty: shown(uncertainty), testers, established, place };
}

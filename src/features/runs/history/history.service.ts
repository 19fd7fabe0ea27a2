import { Injectable } from "@nestjs/common";
import { evaluationChanges, type PastEvaluation } from "../../../core/history/evaluation-changes.js";
import type { Caller } from "../../../platform/auth/account.js";
import { idOf } from "../../../platform/database/rows/uuid.js";
import { notFound } from "../../../platform/problems/problem.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { evaluationParts } from "../run-view.js";
import { RunsService } from "../runs.service.js";
import { HistoryRepository, type PastEvaluationRow } from "./history.repository.js";
import type { EvaluationChangesView, EvaluationPairArgs, EvaluationsView, EvaluationView } from "./history.views.js";

/** Every evaluation of a run stays readable, and any two can be compared. */
@Injectable()
export class HistoryService {
  constructor(
    private readonly runsService: RunsService,
    private readonly historyRepository: HistoryRepository,
    private readonly protocolsService: ProtocolsService,
  ) {}

  /** The evaluations of a run that the caller may see, the newest first. */
  async list(runId: string, caller: Caller | null): Promise<EvaluationsView> {
    const run = await this.runsService.visible(runId, caller);
    const rows = await this.historyRepository.evaluationsOf(run.id);
    return { items: rows.map((row) => evaluationView(row, run.currentEvaluationId)) };
  }

  /** What differs between two evaluations of a run, and why. */
  async compare(runId: string, args: EvaluationPairArgs, caller: Caller | null): Promise<EvaluationChangesView> {
    const run = await this.runsService.visible(runId, caller);
    const [from, to] = await Promise.all([this.past(run.id, args.from), this.past(run.id, args.to)]);
    const { adjustmentsGone, adjustmentsNew, madeBy, figures, findings, verdict } = evaluationChanges(from, to);
    return {
      from: args.from,
      to: args.to,
      madeBy: { ...madeBy, protocolMembers: [...madeBy.protocolMembers], rules: [...madeBy.rules] },
      verdict,
      figures: [...figures],
      findings: findings.map(({ causes, ...change }) => ({ ...change, causes: [...causes] })),
      adjustmentsGone: [...adjustmentsGone],
      adjustmentsNew: [...adjustmentsNew],
    };
  }

  private async past(runId: string, id: string): Promise<PastEvaluation> {
    const row = await this.historyRepository.find(runId, idOf(id, "evaluation"));
    if (!row) throw notFound("evaluation");
    const protocol = await this.protocolsService.document(row.protocolKey, row.protocolVersion);
    const { conformance, ...parts } = evaluationParts(row);
    return { ...parts, ...conformance, computationVersion: row.computationVersion, protocol };
  }
}

function evaluationView(row: PastEvaluationRow, currentId: string | null): EvaluationView {
  return {
    id: row.id,
    isCurrent: row.id === currentId,
    createdAt: row.createdAt.toISOString(),
    protocol: { key: row.protocolKey, version: row.protocolVersion },
    computationVersion: row.computationVersion,
    ...evaluationParts(row),
  };
}

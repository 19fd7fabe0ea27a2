import { Injectable, type OnModuleInit } from "@nestjs/common";
import type { Transaction } from "../../../platform/database/database.js";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { ActiveVersionService } from "../../protocols/active-version.service.js";
import { StandingsService } from "../../rankings/standings.service.js";
import { DecisionsService } from "../decisions/decisions.service.js";
import { EVALUATE_ANEW } from "../jobs.js";
import { RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import { EvaluationsService } from "./evaluations.service.js";
import { OutdatedRunsRepository } from "./outdated-runs.repository.js";
import { QueuedRunsRepository } from "./queued-runs.repository.js";

/** Evaluates runs anew whose pack, or what is registered of it, has changed. */
@Injectable()
export class OutdatedRunsService implements OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly evaluationsService: EvaluationsService,
    private readonly queuedRunsRepository: QueuedRunsRepository,
    private readonly outdatedRunsRepository: OutdatedRunsRepository,
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly activeVersionService: ActiveVersionService,
    private readonly decisionsService: DecisionsService,
    private readonly standingsService: StandingsService,
  ) {}

  /** Locks the runs of a pack until the transaction ends; before any version or pack. */
  lockRunsOf(tx: Transaction, packId: string): Promise<void> {
    return this.outdatedRunsRepository.lockRunsOf(tx, packId);
  }

  /** Runs of a pack that were evaluated count nowhere until they are evaluated anew, which is queued. */
  markRunsOf(tx: Transaction, packId: string): Promise<void> {
    return this.outdatedRunsRepository.markRunsOf(tx, packId);
  }

  /** Has the runs of a pack compared for copies with those of the pack that they become those of, which is queued. */
  compareRunsOf(tx: Transaction, packId: string): Promise<void> {
    return this.outdatedRunsRepository.compareRunsOf(tx, packId);
  }

  onModuleInit(): void {
    this.jobQueue.handle(EVALUATE_ANEW, (payload) => this.evaluate((payload as { runId: string }).runId));
  }

  /**
   * Evaluates a run anew and makes that its current evaluation. An accepted run that does not conform any more, or cannot be
   * evaluated, is pending again. One that a re-evaluation has brought up to date meanwhile is left alone. When its pack changes meanwhile
   * it throws, and the queue tries again.
   */
  async evaluate(runId: string): Promise<void> {
    const run = await this.queuedRunsRepository.find(runId);
    if (!run?.outdated) return;
    const protocol = await this.activeVersionService.versionFor(run.protocolKey, run.protocolVersion);
    const outcome = await this.evaluationsService.evaluateAgain(runId, protocol);
    if (!outcome) return;
    await this.runTransitionsRepository.transaction(async (tx) => {
      const head = await this.runTransitionsRepository.lock(tx, runId);
      if (head?.state !== "processed" || (head.review === "withdrawn" && !(await this.wasSeen(tx, runId)))) return;
      const { version } = protocol;
      const isEvaluated = "evaluation" in outcome;
      const evaluationId = isEvaluated ? await this.evaluationsService.keep(tx, runId, outcome) : null;
      const under = isEvaluated ? { version, computationVersion: outcome.evaluation.computationVersion } : null;
      await this.outdatedRunsRepository.requireUnchanged(tx, run, under);
      const conforms = isEvaluated && outcome.evaluation.verdict !== "nonconforming";
      if (head.review === "accepted" && !conforms) {
        const reason = "It does not conform, or cannot be evaluated, with what is registered of its pack now.";
        await this.decisionsService.revokeAcceptance(tx, runId, evaluationId, { reason });
      }
      if (evaluationId) await this.outdatedRunsRepository.finish(tx, runId, evaluationId);
      else await this.standingsService.leaveOut(tx, runId);
      await this.standingsService.refresh(tx, head.packId, head.protocolKey, head.testerId);
    });
  }

  /** Whether a withdrawn run, which is locked, stays in its tester's means. */
  private async wasSeen(tx: Transaction, runId: string): Promise<boolean> {
    const run = await this.queuedRunsRepository.find(runId, tx);
    return run !== null && run.withdrawnFrom !== null;
  }
}

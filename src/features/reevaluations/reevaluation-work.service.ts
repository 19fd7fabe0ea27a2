import { Injectable, Logger, type OnModuleInit } from "@nestjs/common";
import { COMPUTATION_VERSION, type Evaluation } from "../../core/model.js";
import { blockingRules } from "../../core/protocol/conformance.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { Transaction } from "../../platform/database/database.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { ProtocolsService } from "../protocols/protocols.service.js";
import { EvaluationsService } from "../runs/evaluation/evaluations.service.js";
import { ReevaluationCommit } from "./reevaluation-commit.service.js";
import {
  FINISH_REEVALUATION,
  type ItemOutcome,
  REEVALUATE_RUN,
  type ReevaluationRow,
  ReevaluationsRepository,
} from "./reevaluations.repository.js";

interface FinishPayload {
  readonly reevaluationId: string;
}
interface RunPayload extends FinishPayload {
  readonly runId: string;
}

const GIVEN_UP = { code: "internal-error", message: "The service failed again and again, and the fault was recorded." };

/** Does the queued work of re-evaluations, run by run. What was done is kept when a process dies. */
@Injectable()
export class ReevaluationWorkService implements OnModuleInit {
  private readonly logger = new Logger("Reevaluations");

  constructor(
    private readonly jobQueue: JobQueue,
    private readonly reevaluationsRepository: ReevaluationsRepository,
    private readonly protocolsService: ProtocolsService,
    private readonly evaluationsService: EvaluationsService,
    private readonly reevaluationCommit: ReevaluationCommit,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(
      REEVALUATE_RUN,
      async (payload) => {
        const { reevaluationId, runId } = payload as RunPayload;
        await this.evaluate(reevaluationId, runId);
      },
      async (payload, failure) => {
        const { reevaluationId, runId } = payload as RunPayload;
        if (!(failure instanceof OtherComputation))
          return this.settle(reevaluationId, runId, async () => ({ outcome: "failed", error: GIVEN_UP }));
        await this.reevaluationsRepository.transaction((tx) =>
          this.reevaluationsRepository.queueRuns(tx, reevaluationId, [runId]),
        );
      },
    );
    this.jobQueue.handle(
      FINISH_REEVALUATION,
      (payload) => this.finish((payload as FinishPayload).reevaluationId),
      async (payload, failure) => {
        const { reevaluationId } = payload as FinishPayload;
        await this.reevaluationsRepository.transaction(async (tx) => {
          if (failure instanceof OtherComputation) await this.reevaluationsRepository.queueFinish(tx, reevaluationId);
          else await this.reevaluationsRepository.giveUp(tx, reevaluationId, "failed", GIVEN_UP);
        });
      },
    );
  }

  private async evaluate(id: string, runId: string): Promise<void> {
    const row = await this.reevaluationsRepository.find(id);
    if (!row || !(await this.reevaluationsRepository.start(id, runId))) return;
    requireSameComputation(row);
    const document = await this.documentUnder(row);
    const outcome = await this.evaluationsService.evaluateAgain(runId, document);
    await this.settle(id, runId, async (tx): Promise<ItemOutcome> => {
      if (!outcome) return { outcome: "skipped" };
      if ("unreadable" in outcome) {
        const { code, message } = outcome.unreadable;
        return { outcome: "failed", error: { code, message } };
      }
      const { evaluation } = outcome;
      const kept = row.dryRun
        ? { result: resultOf(evaluation) }
        : { evaluationId: await this.evaluationsService.keep(tx, runId, outcome) };
      return {
        outcome: "evaluated",
        verdict: evaluation.verdict,
        failedRules: blockingRules(evaluation.findings, document.rules),
        ...kept,
      };
    });
  }

  /** Keeps what came of a run, all or nothing, and once. */
  private async settle(id: string, runId: string, keep: (tx: Transaction) => Promise<ItemOutcome>): Promise<void> {
    try {
      await this.reevaluationsRepository.transaction(async (tx) => {
        if (!(await this.reevaluationsRepository.settle(tx, id, runId, await keep(tx)))) throw new Superseded();
      });
    } catch (error) {
      if (!(error instanceof Superseded)) throw error;
      this.logger.log(`run ${runId} was settled before, or is not wanted any more`);
    }
  }

  private async documentUnder({ document, protocolKey, protocolVersion }: ReevaluationRow): Promise<ProtocolDocument> {
    if (document) return document as unknown as ProtocolDocument;
    return this.protocolsService.document(protocolKey, protocolVersion);
  }

  private async finish(id: string): Promise<void> {
    const row = await this.reevaluationsRepository.find(id);
    if (row?.state !== "evaluating" || row.done < row.total) return;
    requireSameComputation(row);
    await this.reevaluationCommit.end(row, await this.documentUnder(row));
  }
}

/** Nothing of what was done for it is kept. */
class Superseded extends Error {}

/** Wanted of a process of another version; this one's tries say nothing of the run. */
class OtherComputation extends Error {}

/** While a service is upgraded, processes of two versions work side by side; each leaves the other's work alone. */
function requireSameComputation({ computationVersion }: ReevaluationRow): void {
  if (computationVersion === COMPUTATION_VERSION) return;
  const message = `this process computes version ${COMPUTATION_VERSION}, version ${computationVersion} is wanted`;
  throw new OtherComputation(message);
}

/** What standings are computed from. */
function resultOf({ trace, figures, findings }: Evaluation): object {
  return {
    cutoffS: trace.cutoffS,
    stop: trace.stop,
    figures: figures.map(({ budget: _, ...figure }) => figure),
    findings: findings.map(({ rule, observed }) => ({ rule, observed })),
  };
}

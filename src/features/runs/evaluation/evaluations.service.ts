import { createWriteStream } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { Injectable, Logger, type OnModuleInit } from "@nestjs/common";
import { conditionsOf } from "../../../core/inputs/conditions.js";
import type { ColumnMap } from "../../../core/model.js";
import type { ProtocolDocument } from "../../../core/protocol/index.js";
import type { Transaction } from "../../../platform/database/database.js";
import { Metrics } from "../../../platform/metrics/metrics.js";
import { EndsWorkers } from "../../../platform/queue/deaths.js";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { benchView } from "../../benches/benches.service.js";
import { packView } from "../../packs/packs.service.js";
import { ActiveVersionService, OutdatedEvaluation } from "../../protocols/active-version.service.js";
import { StandingsService } from "../../rankings/standings.service.js";
import { EVALUATE_RUN } from "../jobs.js";
import { LogsRepository } from "../log/logs.repository.js";
import type { RunProgress } from "../progress/progress.js";
import { ProgressRepository } from "../progress/progress.repository.js";
import { ProgressPublisher } from "../progress/progress-publisher.js";
import { RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import type { EvaluatedLog, EvaluationOutcome, EvaluationTask } from "./evaluation-thread.js";
import { EvaluationsRepository } from "./evaluations.repository.js";
import { LogThreads } from "./log-threads.js";
import { OutdatedRunsRepository } from "./outdated-runs.repository.js";
import { QueuedRunsRepository, type RunToEvaluate } from "./queued-runs.repository.js";

/** What a run shows when the service itself failed at it again and again. It passes or fails no rule. */
const GIVEN_UP = {
  code: "internal-error",
  message:
    "The service failed at this log, and the fault was recorded. The log is kept; send it again to have it tried again.",
};

/** The same of a log at which processes of the service ended. */
const ENDS_WORKERS = {
  code: "internal-error",
  message:
    "Programs of the service ended while they evaluated this log, again and again. The log is kept, and is in the list of the service's operator, " +
    "who says when to send it again.",
};

/** Nothing is told of the steps of an evaluation that takes no longer than this, ms. */
const QUIET_MS = 200;

interface EvaluateOptions {
  readonly onProgress?: (progress: RunProgress) => void;
  /** Nobody waits for it. */
  readonly isBackground?: boolean;
}

/** Evaluates logs on threads: those of queued runs, and those that are only checked. */
@Injectable()
export class EvaluationsService implements OnModuleInit {
  private readonly logger = new Logger("Evaluations");

  constructor(
    private readonly jobQueue: JobQueue,
    private readonly logThreads: LogThreads,
    private readonly queuedRunsRepository: QueuedRunsRepository,
    private readonly outdatedRunsRepository: OutdatedRunsRepository,
    private readonly progressRepository: ProgressRepository,
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly logsRepository: LogsRepository,
    private readonly activeVersionService: ActiveVersionService,
    private readonly evaluationsRepository: EvaluationsRepository,
    private readonly standingsService: StandingsService,
    private readonly metrics: Metrics,
  ) {}

  onModuleInit(): void {
    const runOf = (payload: unknown) => (payload as { runId: string }).runId;
    this.jobQueue.handle(
      EVALUATE_RUN,
      (payload) => this.evaluateRun(runOf(payload)),
      (payload, failure) => this.giveUp(runOf(payload), failure),
    );
  }

  /** What is outdated again and again was evaluated by an older program, beside a newer one that will do it. */
  private giveUp(runId: string, failure: unknown): Promise<void> {
    if (failure instanceof OutdatedEvaluation) return this.queuedRunsRepository.queueAgain(runId);
    return this.queuedRunsRepository.storeLogError(runId, failure instanceof EndsWorkers ? ENDS_WORKERS : GIVEN_UP);
  }

  /**
   * Evaluates a log on a thread.
   *
   * @param share for whom: the threads are shared fairly between these
   */
  evaluate(
    task: EvaluationTask,
    share: string,
    { onProgress, isBackground = false }: EvaluateOptions = {},
  ): Promise<EvaluationOutcome> {
    const call = {
      module: "src/features/runs/evaluation/evaluation-thread.js",
      name: "evaluateLog",
      onMessage: (message: unknown) => onProgress?.(message as RunProgress),
      share,
      isBackground,
    };
    return this.logThreads.run(call, task);
  }

  /** Does one queued evaluation. A fault of the system throws, and the queue tries again later. */
  async evaluateRun(runId: string): Promise<void> {
    const run = await this.queuedRunsRepository.claim(runId);
    if (!run) return;
    const teller = this.tellerOf(run.id);
    const protocol = await this.activeVersionService.document(run.protocolKey, run.version);
    const task = { protocol, facts: { ...factsOf(run), savedMaps: run.savedMaps } };
    const onProgress = (progress: RunProgress) => teller.say(progress);
    const began = performance.now();
    const outcome = await this.evaluateStored(run, task, shareOf(run.testerId), { onProgress });
    this.count(protocol.key, outcome, (performance.now() - began) / 1_000);
    teller.say({ stage: "storing", done: run.logBytes, total: run.logBytes });
    await teller.finish();
    if ("unreadable" in outcome) {
      await this.queuedRunsRepository.storeLogError(run.id, outcome.unreadable);
      return;
    }
    const { evaluation, trace, savedMap } = outcome;
    const { version } = protocol;
    const { computationVersion } = evaluation;
    await this.runTransitionsRepository.transaction(async (tx) => {
      const held = await this.queuedRunsRepository.hold(tx, run.id);
      if (!held) return;
      const evaluationId = await this.evaluationsRepository.add(tx, run, evaluation, storable(trace));
      await this.queuedRunsRepository.finish(tx, held, evaluationId, savedMap);
      await this.outdatedRunsRepository.requireUnchanged(tx, run, { version, computationVersion });
      if (run.review === "accepted") {
        await this.standingsService.refresh(tx, run.specimen.packId, run.protocolKey, run.testerId);
      }
    });
  }

  /**
   * Evaluates a run that was evaluated before, under another protocol document, and stores nothing. Its columns are read as
   * they were then, whatever maps its tester has saved since.
   *
   * @returns null when the run was not evaluated, or was withdrawn before its figures had been seen
   */
  async evaluateAgain(runId: string, protocol: ProtocolDocument): Promise<EvaluationOutcome | null> {
    const run = await this.queuedRunsRepository.find(runId);
    if (run?.state !== "processed" || (run.review === "withdrawn" && run.withdrawnFrom === null)) return null;
    const task = { protocol, facts: { ...factsOf(run), savedMaps: [] } };
    return this.evaluateStored(run, task, REEVALUATIONS, { isBackground: true });
  }

  /** Keeps such an evaluation, which does not make it the run's current one. Returns its id. */
  async keep(tx: Transaction, runId: string, { evaluation, trace }: EvaluatedLog): Promise<string> {
    return this.evaluationsRepository.add(
      tx,
      await this.queuedRunsRepository.logOf(tx, runId),
      evaluation,
      storable(trace),
    );
  }

  private count(protocol: string, outcome: EvaluationOutcome, seconds: number): void {
    const { evaluations, failedRules } = this.metrics;
    evaluations.observe(
      { protocol, outcome: "unreadable" in outcome ? "unreadable" : outcome.evaluation.verdict },
      seconds,
    );
    if ("unreadable" in outcome) return;
    for (const { rule, outcome: result } of outcome.evaluation.findings) {
      if (result === "fail") failedRules.inc({ protocol, rule });
    }
  }

  /** Progress is a courtesy: an evaluation goes on when it cannot be told. */
  private tellerOf(runId: string): ProgressPublisher {
    return new ProgressPublisher(async (progress) => {
      try {
        await this.progressRepository.publish(runId, progress);
      } catch (error) {
        this.logger.warn(`progress could not be told: ${String(error)}`);
      }
    }, QUIET_MS);
  }

  private async evaluateStored(
    run: Pick<RunToEvaluate, "logSha256">,
    task: Omit<EvaluationTask, "log">,
    share: string,
    options: EvaluateOptions,
  ): Promise<EvaluationOutcome> {
    const few = await this.logsRepository.readSmall(run.logSha256);
    if (few) return this.evaluate({ log: few, ...task }, share, options);
    const folder = await mkdtemp(join(tmpdir(), "packledger-run-"));
    try {
      const log = join(folder, "log");
      await pipeline(Readable.from(this.logsRepository.read(run.logSha256)), createWriteStream(log, { mode: 0o600 }));
      return await this.evaluate({ log, ...task }, share, options);
    } finally {
      await rm(folder, { recursive: true, force: true });
    }
  }
}

/** The share of a tester's uploads and checks in the threads. */
export const shareOf = (accountId: string): string => `account ${accountId}`;
const REEVALUATIONS = "reevaluations";

const storable = ({ encoding, data }: EvaluatedLog["trace"]) => ({ encoding, data: Uint8Array.from(data) });

function factsOf(run: RunToEvaluate): EvaluationTask["facts"] {
  return {
    pack: packView(run.specimen.pack),
    bench: benchView(run.bench),
    conditions: conditionsOf(run),
    columns: run.columns as ColumnMap | null,
    columnsLabel: run.columnsLabel,
    discharge: run.discharge === 0 ? null : run.discharge,
  };
}

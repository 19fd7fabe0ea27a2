import { Injectable, type OnModuleInit } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { type NewNotice, NoticeWriter } from "../notices/notice-writer.service.js";
import { DecisionsService } from "../runs/decisions/decisions.service.js";
import { isRevoked } from "./effects.js";
import { type ChangedRun, type NewsKind, ReevaluationsRepository, TELL_VERDICTS } from "./reevaluations.repository.js";

/** Runs that are told of in one transaction. */
const RUNS_AT_ONCE = 500;

interface NewsPayload {
  readonly reevaluationId: string;
  readonly about: NewsKind;
  readonly after: string | null;
}

/** Tells testers what became of their runs by a re-evaluation, and has undecided runs compared anew: some at a time, each once. */
@Injectable()
export class ReevaluationNews implements OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly reevaluationsRepository: ReevaluationsRepository,
    private readonly decisionsService: DecisionsService,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(TELL_VERDICTS, async (payload) => {
      const { reevaluationId, about, after } = payload as NewsPayload;
      await this.reevaluationsRepository.transaction((tx) =>
        about === "changed" ? this.tell(tx, reevaluationId, after) : this.compare(tx, reevaluationId, after),
      );
    });
  }

  /** In the transaction in which it ends: the first of its news; the others are queued. */
  async begin(tx: Transaction, id: string): Promise<void> {
    await this.tell(tx, id, null);
    await this.reevaluationsRepository.queueNews(tx, id, "undecided", null);
  }

  private async tell(tx: Transaction, id: string, after: string | null): Promise<void> {
    const changed = await this.reevaluationsRepository.changedRuns(tx, id, after, RUNS_AT_ONCE);
    await this.noticeWriter.tell(
      tx,
      changed.map((run) => this.noticeOf(run)),
    );
    const last = changed.at(-1);
    if (changed.length === RUNS_AT_ONCE && last)
      await this.reevaluationsRepository.queueNews(tx, id, "changed", last.runId);
  }

  private async compare(tx: Transaction, id: string, after: string | null): Promise<void> {
    const runIds = await this.reevaluationsRepository.undecidedRuns(tx, id, after, RUNS_AT_ONCE);
    await this.reevaluationsRepository.queueComparisons(tx, runIds);
    const last = runIds.at(-1);
    if (runIds.length === RUNS_AT_ONCE && last) await this.reevaluationsRepository.queueNews(tx, id, "undecided", last);
  }

  private noticeOf(run: ChangedRun): NewNotice {
    const { runId, testerId, from, to, failedRules } = run;
    if (isRevoked(run)) return this.decisionsService.noticeOfRevocation(runId, testerId, failedRules);
    return { kind: "verdict-changed", accountId: testerId, subjectId: runId, facts: { from, to, rules: failedRules } };
  }
}

import { isDeepStrictEqual } from "node:util";
import { Inject, Injectable } from "@nestjs/common";
import { CONDITION_KEYS, type RunConditions } from "../../../core/inputs/conditions.js";
import { after } from "../../../core/lifecycle/run-lifecycle.js";
import { Prisma, type Run } from "../../../generated/prisma/client.js";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import type { Transaction } from "../../../platform/database/database.js";
import { bytesText } from "../../../platform/database/rows/insert-rows.js";
import { newId } from "../../../platform/database/rows/uuid.js";
import { Problem } from "../../../platform/problems/problem.js";
import { EvaluationTurnsRepository, type QueuedRun } from "../evaluation/evaluation-turns.repository.js";
import { QueuedRunsRepository } from "../evaluation/queued-runs.repository.js";
import { LogsRepository } from "../log/logs.repository.js";
import { progressOfState } from "../progress/progress.js";
import { ProgressRepository } from "../progress/progress.repository.js";
import { RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import type { LogToStore } from "./received-log.js";

export type NewRun = Pick<
  Prisma.RunUncheckedCreateInput,
  | "specimenId"
  | "benchId"
  | "testerId"
  | "protocolKey"
  | "protocolVersion"
  | "startedAt"
  | "discharge"
  | "longLog"
  | keyof RunConditions
> & { readonly columns: Prisma.InputJsonObject | null };

export interface StoredRun {
  readonly id: string;
  readonly created: boolean;
  /** Declared members in which the stored run differs from what was sent now. */
  readonly differing: readonly string[];
}

/** Stores what is uploaded, once. */
@Injectable()
export class UploadsRepository {
  constructor(
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly progressRepository: ProgressRepository,
    private readonly logsRepository: LogsRepository,
    private readonly evaluationTurnsRepository: EvaluationTurnsRepository,
    private readonly queuedRunsRepository: QueuedRunsRepository,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /**
   * Stores a run with its log and queues its evaluation, all or nothing. The same discharge of the same log by the same tester for the
   * same specimen, bench and protocol, whatever its version, is one run: it is given back, and tried again when it could not be evaluated before.
   */
  async create(run: NewRun, log: LogToStore): Promise<StoredRun> {
    for (;;) {
      const stored = await this.runTransitionsRepository.transaction((tx) => this.store(tx, run, log));
      // Null when the run that stood in the way was withdrawn at this moment: its place is free now.
      if (stored) return stored;
    }
  }

  private async store(tx: Transaction, run: NewRun, log: LogToStore): Promise<StoredRun | null> {
    await (log.refusal ? this.logsRepository.storeDigest(tx, log) : this.logsRepository.store(tx, log));
    // Turns are held before any run, so that no two uploads are counted at once.
    await this.evaluationTurnsRepository.hold(tx);
    const logSha256 = log.sha256;
    const declared = { ...run, columns: run.columns ?? Prisma.DbNull, columnsLabel: null };
    const made = log.refusal
      ? await this.storeRefused(tx, { ...declared, logSha256, fileName: log.fileName })
      : await this.storeQueued(tx, run, log);
    const { testerId, specimenId, benchId, protocolKey, discharge = 0 } = run;
    if (made) {
      // Nobody knows of it yet who could wait for its progress.
      this.runTransitionsRepository.record(tx, made.id, "upload", { actorId: testerId }, null, made);
      this.requireQuota(made.used, log.bytes);
      if (log.refusal) await this.queuedRunsRepository.refuseUnread(tx, made.id, log.refusal);
      return { id: made.id, created: true, differing: [] };
    }
    const same = { testerId, specimenId, benchId, protocolKey, logSha256, discharge, withdrawal: 0 };
    const existing = await tx.run.findFirst({ where: same });
    const head = existing && (await this.runTransitionsRepository.lock(tx, existing.id));
    if (!existing || !head || head.review === "withdrawn") return null;
    const { id } = existing;
    const retried = after(head, "retry");
    if (!retried) return { id, created: false, differing: differingMembers(run, existing) };
    const { state, review } = retried;
    await tx.run.update({
      where: { id },
      data: { ...declared, state, review, error: Prisma.DbNull },
      select: { id: true },
    });
    this.runTransitionsRepository.record(tx, id, "retry", { actorId: testerId }, head, retried);
    if (log.refusal) await this.queuedRunsRepository.refuseUnread(tx, id, log.refusal);
    else {
      await this.evaluationTurnsRepository.queue(tx, id);
      await this.progressRepository.publish(id, progressOfState("queued", log.bytes), tx);
    }
    return { id, created: false, differing: [] };
  }

  /** Stores a run and queues its evaluation; null when the same run is stored already. */
  private storeQueued(tx: Transaction, run: NewRun, log: LogToStore): Promise<StoredNow | null> {
    const row = {
      id: newId(),
      ...run,
      discharge: run.discharge ?? 0,
      longLog: run.longLog ?? false,
      logSha256: bytesText(log.sha256),
      fileName: log.fileName,
    };
    return this.evaluationTurnsRepository.insert<Pick<StoredNow, "used">>(tx, row, usedBy(run.testerId));
  }

  /** Stores a run that nobody is to evaluate; null when the same run is stored already. */
  private async storeRefused(tx: Transaction, run: Prisma.RunCreateManyInput): Promise<StoredNow | null> {
    const [before] = await tx.$queryRaw<Pick<StoredNow, "used">[]>`SELECT ${usedBy(run.testerId)}`;
    const select = { id: true, state: true, review: true, appealed: true } as const;
    const [made] = await tx.run.createManyAndReturn({ data: [run], skipDuplicates: true, select });
    return made && before ? { ...(made as QueuedRun), ...before } : null;
  }

  /** Holds what a tester uploaded within 24 h before a run, and the run, against the quota. */
  private requireQuota(used: StoredNow["used"], bytes: number): void {
    const { uploadsPerDay, uploadMebibytesPerDay } = this.config;
    if (used.runs + 1 <= uploadsPerDay && used.bytes + bytes <= uploadMebibytesPerDay * 2 ** 20) return;
    throw new Problem(
      "quota-reached",
      `A tester may upload ${uploadsPerDay} runs and ${uploadMebibytesPerDay} MiB within 24 hours.`,
      { extensions: { retryAfterSeconds: Math.max(1, used.secondsLeft) } },
    );
  }
}

/** A run that was stored, and what its tester had uploaded within 24 h before: its runs and bytes, and when the first of them no longer counts, s. */
interface StoredNow extends QueuedRun {
  readonly used: { readonly runs: number; readonly bytes: number; readonly secondsLeft: number };
}

/** What a statement selects of it, as `used`. */
const usedBy = (testerId: string): Prisma.Sql => Prisma.sql`(
  SELECT json_build_object('runs', count(*), 'bytes', coalesce(sum(log.bytes), 0),
    'secondsLeft', ceil(extract(epoch FROM coalesce(min(run.created_at), now()) + interval '24 hours' - now())))
  FROM run JOIN log ON log.sha256 = run.log_sha256
  WHERE run.tester_id = ${testerId}::uuid AND run.created_at > now() - interval '24 hours') AS used`;

/** What is declared of a run, beside what makes it the same one. */
const DECLARED = ["startedAt", ...CONDITION_KEYS] as const;

function differingMembers(sent: NewRun, stored: Run): string[] {
  const differing: string[] = DECLARED.filter((member) => !isDeepStrictEqual(sent[member] ?? null, stored[member]));
  const ownColumns = stored.columnsLabel === null ? stored.columns : null;
  return isDeepStrictEqual(sent.columns, ownColumns) ? differing : [...differing, "columns"];
}

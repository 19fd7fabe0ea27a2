import { Injectable } from "@nestjs/common";
import { after, type RunEvent, type RunState, type RunStatus } from "../../core/lifecycle/run-lifecycle.js";
import type { Evaluation, SavedColumnMap } from "../../core/model.js";
import { Prisma } from "../../generated/prisma/client.js";
import { type AuditEvent, AuditLog } from "../../platform/audit-log/audit-log.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { Notifications } from "../../platform/notifications/notifications.js";
import { decodeCursor } from "../../platform/paging/cursor.js";
import { addJob } from "../../platform/queue/add-job.js";
import { type EncodedTrace, EvaluationsRepository } from "./evaluation/evaluations.repository.js";
import { progressOfState, type RunProgress } from "./progress/progress.js";

export const EVALUATE_RUN = "evaluate-run";
/** What follows an evaluation: the run is compared with all others. */
export const CHECK_COPIES = "check-copies";
/** What follows the comparison: the acceptance rule looks at the run. */
export const AUTO_ACCEPT_RUN = "auto-accept-run";

const PROGRESS_EVENTS: readonly RunEvent[] = ["start", "restart", "finish", "fail"];

const WITH_ALL = {
  specimen: { include: { pack: true } },
  bench: true,
  tester: true,
  log: true,
  currentEvaluation: {
    include: {
      figures: true,
      findings: { orderBy: { position: "asc" } },
      adjustments: { orderBy: { position: "asc" } },
    },
  },
} satisfies Prisma.RunInclude;

/** A run with everything that its view shows. */
export type RunRow = Prisma.RunGetPayload<{ include: typeof WITH_ALL }>;

/** What of a run decides on its visibility, and its status. */
export interface RunHead extends RunStatus {
  readonly id: string;
  readonly testerId: string;
  readonly packId: string;
  readonly protocolKey: string;
  readonly verdict: string | null;
  /** What its current evaluation was made under; null for none. */
  readonly evaluatedUnder: { readonly version: number; readonly computationVersion: number } | null;
  readonly logBytes: number;
}

/** Who lets something happen to a run, and why. */
export type Actor = Pick<AuditEvent, "actorId" | "reason" | "rules">;

const SERVICE: Actor = { actorId: null };

/** A run's status as the record of what happened says it. */
const statusText = ({ state, review }: RunStatus): string => `${state}/${review}`;

/** Whose runs a list shows: everybody's accepted ones, or all of one tester. */
export interface RunsFilter {
  readonly packId: string | null;
  readonly testerId: string | null;
  readonly after: string | null;
}

@Injectable()
export class RunsRepository {
  constructor(
    private readonly database: Database,
    private readonly evaluationsRepository: EvaluationsRepository,
    private readonly notifications: Notifications,
    private readonly auditLog: AuditLog,
  ) {}

  find(id: string): Promise<RunRow | null> {
    return this.database.run.findUnique({ where: { id }, include: WITH_ALL });
  }

  findMany(ids: readonly string[]): Promise<RunRow[]> {
    return this.database.run.findMany({ where: { id: { in: [...ids] } }, include: WITH_ALL });
  }

  /** Newest first. */
  list({ packId, testerId, after: cursor }: RunsFilter, take: number): Promise<RunRow[]> {
    const where: Prisma.RunWhereInput[] = [testerId ? { testerId } : { review: "accepted" }];
    if (packId) where.push({ specimen: { packId } });
    if (cursor) where.push({ id: { lt: String(decodeCursor(cursor, ["uuid"])[0]) } });
    return this.database.run.findMany({ where: { AND: where }, include: WITH_ALL, orderBy: { id: "desc" }, take });
  }

  /** Runs in a review state that are not one's own, oldest first. */
  listForReview(review: string, notBy: string, cursor: string | null, take: number): Promise<RunRow[]> {
    const behind = cursor ? { id: { gt: String(decodeCursor(cursor, ["uuid"])[0]) } } : {};
    const where = { review, testerId: { not: notBy }, state: { in: ["processed", "failed"] }, ...behind };
    return this.database.run.findMany({ where, include: WITH_ALL, orderBy: { id: "asc" }, take });
  }

  async nearestAccepted(
    packId: string,
    protocolKey: string,
    figure: string,
    { load, value }: { readonly load: number; readonly value: number },
  ): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT run.id::text FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN figure ON figure.evaluation_id = run.current_evaluation_id
      WHERE specimen.pack_id = ${packId}::uuid AND run.review_state = 'accepted' AND run.protocol_key = ${protocolKey}
        AND figure.key = ${figure} AND figure.basis = 'translated' AND figure.load = ${load}::float8
      ORDER BY abs(figure.value - ${value}::float8), run.id LIMIT 1`;
    return rows[0]?.id ?? null;
  }

  /** A run with the hash of its log. */
  logOf(tx: Transaction, id: string) {
    return tx.run.findUniqueOrThrow({ where: { id }, select: { id: true, logSha256: true } });
  }

  async stateOf(id: string): Promise<string> {
    return (await this.database.run.findUniqueOrThrow({ where: { id }, select: { state: true } })).state;
  }

  /** How far a run's evaluation has come, as far as the record knows. */
  async progressOf(id: string): Promise<RunProgress> {
    const select = { state: true, log: { select: { bytes: true } } } as const;
    const { state, log } = await this.database.run.findUniqueOrThrow({ where: { id }, select });
    return progressOfState(state as RunState, Number(log.bytes));
  }

  /** Tells whoever listens; with a transaction, once that is committed. */
  publishProgress(id: string, progress: RunProgress, tx: Transaction = this.database): Promise<void> {
    return this.notifications.publish(tx, id, progress);
  }

  /** The stored trace of the run's current evaluation. */
  async traceOf(evaluationId: string): Promise<EncodedTrace | null> {
    return this.database.trace.findUnique({ where: { evaluationId }, select: { encoding: true, data: true } });
  }

  /** Takes a run up for evaluation; null when there is nothing to do. */
  async claim(id: string): Promise<RunRow | null> {
    const claimed = await this.transaction(
      async (tx) => (await this.move(tx, id, "start", SERVICE)) ?? (await this.move(tx, id, "restart", SERVICE)),
    );
    return claimed ? this.find(id) : null;
  }

  /**
   * Stores the result of an evaluation and makes it the run's current one; a saved column map that was applied is kept
   * with the run itself, so that it can be computed again whatever becomes of the map. False when the run is no longer
   * being evaluated.
   */
  async storeEvaluation(
    tx: Transaction,
    run: RunRow,
    evaluation: Evaluation,
    trace: EncodedTrace,
    savedMap: SavedColumnMap | null,
  ): Promise<boolean> {
    const head = await this.lock(tx, run.id);
    if (!head || !after(head, "finish")) return false;
    const evaluationId = await this.evaluationsRepository.add(tx, run, evaluation, trace);
    const columns = savedMap?.columns as Prisma.InputJsonObject | undefined;
    const applied = savedMap && columns ? { columns, columnsLabel: savedMap.label } : {};
    await this.move(tx, run.id, "finish", SERVICE, { currentEvaluationId: evaluationId, ...applied });
    await addJob(tx, CHECK_COPIES, { runId: run.id }, `${CHECK_COPIES}:${run.id}`, "background");
    return true;
  }

  /** Queues the evaluation of a run as if it had not been tried. */
  async queueAgain(id: string): Promise<void> {
    await addJob(this.database, EVALUATE_RUN, { runId: id }, `${EVALUATE_RUN}:${id}`);
  }

  /** Notes that a log cannot be read, and why. */
  async storeLogError(id: string, fault: { code: string; message: string }): Promise<void> {
    await this.transaction((tx) => this.move(tx, id, "fail", SERVICE, { error: { ...fault } }));
  }

  /** Lets something happen to a run by its life's rules; null when it may not happen now, or there is no such run. */
  async move(
    tx: Transaction,
    id: string,
    event: RunEvent,
    by: Actor,
    more: Prisma.RunUncheckedUpdateInput = {},
  ): Promise<RunHead | null> {
    const head = await this.lock(tx, id);
    const next = head && after(head, event);
    if (!next) return null;
    await tx.run.update({
      where: { id },
      data: { state: next.state, review: next.review, appealed: next.appealed, ...more },
      select: { id: true },
    });
    this.record(tx, id, event, by, head, next);
    if (PROGRESS_EVENTS.includes(event)) await this.publishProgress(id, progressOfState(next.state, head.logBytes), tx);
    return { ...head, ...next };
  }

  /** Withdraws a run for good and frees its place, so that the same log can be uploaded again. */
  async withdraw(
    tx: Transaction,
    id: string,
    event: "withdraw" | "replace" = "withdraw",
    { reason = null, replacedById = null }: { reason?: string | null; replacedById?: string | null } = {},
  ): Promise<RunHead | null> {
    if (!(await this.lock(tx, id))) return null;
    const run = await tx.run.findUniqueOrThrow({ where: { id } });
    const { testerId, specimenId, benchId, protocolKey, logSha256 } = run;
    const same = { testerId, specimenId, benchId, protocolKey, logSha256 };
    const before = await tx.run.count({ where: { ...same, withdrawal: { gt: 0 } } });
    const by = { actorId: testerId, reason };
    return this.move(tx, id, event, by, { withdrawal: before + 1, replacedById });
  }

  /** Writes down that a run was made in place of another. */
  recordReplacement(tx: Transaction, { id, testerId, ...status }: RunHead, replacedId: string): void {
    this.record(tx, id, "stand-in", { actorId: testerId, reason: `In place of run ${replacedId}.` }, status, status);
  }

  /** Runs in whose place a run was made. */
  async replacedBy(id: string): Promise<string[]> {
    const runs = await this.database.run.findMany({
      where: { replacedById: id },
      select: { id: true },
      orderBy: { id: "asc" },
    });
    return runs.map((run) => run.id);
  }

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.auditLog.transaction(work);
  }

  /** Tells the record what happened to a run. */
  record(tx: Transaction, id: string, event: string, by: Actor, from: RunStatus | null, to: RunStatus): void {
    const subject = { kind: "run", id } as const;
    this.auditLog.record(tx, { ...by, event, subject, from: from && statusText(from), to: statusText(to) });
  }

  /** Another accepted run with the same log; null when there is none. */
  async acceptedTwin(tx: Transaction, id: string): Promise<string | null> {
    const { logSha256 } = await tx.run.findUniqueOrThrow({ where: { id }, select: { logSha256: true } });
    const twin = await tx.run.findFirst({
      where: { logSha256, review: "accepted", id: { not: id } },
      select: { id: true },
    });
    return twin?.id ?? null;
  }

  /** A run's head, locked until the transaction ends. */
  async lock(tx: Transaction, id: string): Promise<RunHead | null> {
    const rows = await tx.$queryRaw<RunHead[]>`
      SELECT run.id::text, run.tester_id::text AS "testerId", specimen.pack_id::text AS "packId",
        run.protocol_key AS "protocolKey", run.state, run.review_state AS review, run.appealed, evaluation.verdict,
        CASE WHEN evaluation.id IS NOT NULL THEN json_build_object('version', evaluation.protocol_version,
          'computationVersion', evaluation.computation_version) END AS "evaluatedUnder",
        log.bytes::float8 AS "logBytes"
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN log ON log.sha256 = run.log_sha256
      LEFT JOIN evaluation ON evaluation.id = run.current_evaluation_id
      WHERE run.id = ${id}::uuid
      FOR UPDATE OF run`;
    return rows[0] ?? null;
  }
}

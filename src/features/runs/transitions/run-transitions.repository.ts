import { Injectable } from "@nestjs/common";
import { after, type RunEvent, type RunStatus } from "../../../core/lifecycle/run-lifecycle.js";
import { Prisma, type Run } from "../../../generated/prisma/client.js";
import { type AuditEvent, AuditLog } from "../../../platform/audit-log/audit-log.js";
import type { Transaction } from "../../../platform/database/database.js";
import { updateOf } from "../../../platform/database/rows/update-row.js";
import { Notifications } from "../../../platform/notifications/notifications.js";
import { NoticeWriter } from "../../notices/notice-writer.service.js";
import { progressOfState } from "../progress/progress.js";
import { type RunHead, RunHeadsRepository } from "../run-heads.repository.js";
import { noticeOf } from "./notice-of.js";

/** Who lets something happen to a run, and why. */
export type Actor = Pick<AuditEvent, "actorId" | "reason" | "rules">;

/** What changes with a step beside the status. */
export type MovedMembers = Partial<
  Pick<Run, "currentEvaluationId" | "columnsLabel" | "withdrawal" | "replacedById" | "withdrawnFrom">
> & { readonly error?: object | null; readonly columns?: object };

/** Events after which those who wait for the evaluation are told. */
const PROGRESS_EVENTS: readonly RunEvent[] = ["start", "restart", "finish", "fail"];

/** A run's status as the audit log says it. */
const statusText = ({ state, review }: RunStatus): string => `${state}/${review}`;

/**
 * Moves runs through their life; the audit log is told of each step in the transaction in which it happens, and the tester of
 * what others decide.
 */
@Injectable()
export class RunTransitionsRepository {
  constructor(
    private readonly runHeadsRepository: RunHeadsRepository,
    private readonly auditLog: AuditLog,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.auditLog.transaction(work);
  }

  /** A run's head, locked until the transaction ends. */
  lock(tx: Transaction, id: string): Promise<RunHead | null> {
    return this.runHeadsRepository.lock(tx, id);
  }

  /** Lets something happen to a run by its life's rules; null when it may not happen now, or there is no such run. */
  async move(
    tx: Transaction,
    id: string,
    event: RunEvent,
    by: Actor,
    more: MovedMembers = {},
  ): Promise<RunHead | null> {
    const head = await this.lock(tx, id);
    return head && this.moveLocked(tx, head, event, by, more);
  }

  /**
   * The same for a run whose head was locked in the transaction, and has not changed since.
   *
   * @param alongside what else is selected in the statement that moves it, such as a job that is queued
   */
  async moveLocked(
    tx: Transaction,
    head: RunHead,
    event: RunEvent,
    by: Actor,
    more: MovedMembers = {},
    alongside: readonly Prisma.Sql[] = [],
  ): Promise<RunHead | null> {
    const { id } = head;
    const next = after(head, event);
    if (!next) return null;
    const { state, review, appealed } = next;
    const telling = PROGRESS_EVENTS.includes(event)
      ? [Notifications.telling(id, progressOfState(state, head.logBytes))]
      : [];
    const selected = [...telling, ...alongside];
    await tx.$executeRaw`
      WITH moved AS (${updateOf("run", id, { state, reviewState: review, appealed, ...more })})
      SELECT ${selected.length > 0 ? Prisma.join(selected) : Prisma.empty}`;
    this.record(tx, id, event, by, head, next);
    await this.noticeWriter.tell(tx, noticeOf(head, event, by, next));
    return { ...head, ...next };
  }

  /** Tells the audit log what happened to a run. */
  record(tx: Transaction, id: string, event: string, by: Actor, from: RunStatus | null, to: RunStatus): void {
    this.auditLog.record(tx, this.eventOf(id, event, by, from, to));
  }

  /** What the audit log is told of what happened to a run. */
  eventOf(id: string, event: string, by: Actor, from: RunStatus | null, to: RunStatus): AuditEvent {
    const subject = { kind: "run", id } as const;
    return { ...by, event, subject, from: from && statusText(from), to: statusText(to) };
  }
}

import { Injectable } from "@nestjs/common";
import { CONDITION_KEYS, type RunConditions } from "../../../core/inputs/conditions.js";
import { after } from "../../../core/lifecycle/run-lifecycle.js";
import type { SavedColumnMap } from "../../../core/model.js";
import type { Prisma } from "../../../generated/prisma/client.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { addingJobAt } from "../../../platform/queue/add-job.js";
import { CHECK_COPIES } from "../jobs.js";
import { LogRemovalsRepository } from "../log/log-removals.repository.js";
import { HEAD_COLUMNS, HEAD_TABLES, type RunHead } from "../run-heads.repository.js";
import { type Json, rowOf } from "../run-rows.js";
import { type Actor, RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import { EvaluationTurnsRepository } from "./evaluation-turns.repository.js";

const SERVICE: Actor = { actorId: null };

const CONDITIONS = Object.fromEntries(CONDITION_KEYS.map((key) => [key, true])) as Record<keyof RunConditions, true>;

const TO_EVALUATE = {
  id: true,
  testerId: true,
  state: true,
  review: true,
  protocolKey: true,
  protocolVersion: true,
  ...CONDITIONS,
  discharge: true,
  columns: true,
  columnsLabel: true,
  logSha256: true,
  outdated: true,
  error: true,
  withdrawnFrom: true,
  specimen: { select: { packId: true, pack: true } },
  bench: true,
} satisfies Prisma.RunSelect;

/** What of a run its evaluation needs. */
export type RunToEvaluate = Prisma.RunGetPayload<{ select: typeof TO_EVALUATE }>;

/** Whether the service itself failed at a run, and not the log. */
const isGivenUp = ({ state, error }: RunToEvaluate): boolean =>
  state === "failed" && (error as { readonly code?: unknown } | null)?.code === "internal-error";

/** What is read with a run that is taken up. */
interface WithRun {
  /** The column maps that its tester has saved. */
  readonly savedMaps: readonly SavedColumnMap[];
  /** The version of its protocol to evaluate it under: the active one, or the newer one that it was uploaded under. */
  readonly version: number;
}

/** A run that was taken up. */
export interface ClaimedRun extends RunToEvaluate, WithRun, Pick<RunHead, "logBytes"> {}

interface LockedRun extends WithRun {
  readonly head: RunHead;
  readonly run: RunToEvaluate;
}

/** A run with all that its evaluation needs, in one statement, locked until the transaction ends. */
async function lockToEvaluate(tx: Transaction, id: string): Promise<LockedRun | null> {
  const [found] = await tx.$queryRaw<(RunHead & WithRun & { run: Json; pack: Json; bench: Json })[]>`
    SELECT ${HEAD_COLUMNS}, to_json(run) AS run, to_json(pack) AS pack, to_json(bench) AS bench, coalesce((
      SELECT json_agg(json_build_object('label', label, 'header', header, 'columns', columns) ORDER BY id)
      FROM column_map WHERE owner_id = run.tester_id), '[]') AS "savedMaps",
      greatest(run.protocol_version, (
        SELECT protocol_version FROM active_version WHERE protocol_key = run.protocol_key)) AS version
    FROM ${HEAD_TABLES} JOIN pack ON pack.id = specimen.pack_id JOIN bench ON bench.id = run.bench_id
    WHERE run.id = ${id}::uuid FOR UPDATE OF run`;
  if (!found) return null;
  const { run, pack, bench, savedMaps, version, ...head } = found;
  const specimen = { packId: head.packId, pack: rowOf(pack) };
  const row = { ...rowOf(run), review: head.review, specimen, bench: rowOf(bench) };
  return { head, run: row as unknown as RunToEvaluate, savedMaps, version };
}

/** Takes queued runs up and stores what becomes of them. */
@Injectable()
export class QueuedRunsRepository {
  constructor(
    private readonly database: Database,
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly evaluationTurnsRepository: EvaluationTurnsRepository,
    private readonly logRemovalsRepository: LogRemovalsRepository,
  ) {}

  find(id: string, tx: Transaction = this.database): Promise<RunToEvaluate | null> {
    return tx.run.findUnique({ where: { id }, select: TO_EVALUATE });
  }

  /**
   * Takes a run up for evaluation; null when there is nothing to do. One at which the service itself failed is begun anew: its job is done again
   * only where the service's operator has said so.
   */
  async claim(id: string): Promise<ClaimedRun | null> {
    const { runTransitionsRepository: transitions } = this;
    return transitions.transaction(async (tx) => {
      const found = await lockToEvaluate(tx, id);
      if (!found) return null;
      const head = isGivenUp(found.run)
        ? await transitions.moveLocked(tx, found.head, "retry", SERVICE, { error: null })
        : found.head;
      if (!head) return null;
      const moved = await transitions.moveLocked(tx, head, after(head, "start") ? "start" : "restart", SERVICE);
      if (!moved) return null;
      const { state, review, logBytes } = moved;
      const { run, savedMaps, version } = found;
      return { ...run, savedMaps, version, state, review, logBytes };
    });
  }

  /** Holds a run that is being evaluated until the transaction ends; null when it no longer is. */
  async hold(tx: Transaction, id: string): Promise<RunHead | null> {
    const head = await this.runTransitionsRepository.lock(tx, id);
    return head && after(head, "finish") ? head : null;
  }

  /**
   * Makes an evaluation the run's current one and queues what follows; a saved column map that was applied is kept with the run
   * itself, so that it can be computed again whatever becomes of the map.
   *
   * @param held the run, as `hold` gave it
   */
  async finish(tx: Transaction, held: RunHead, evaluationId: string, savedMap: SavedColumnMap | null): Promise<void> {
    const { id } = held;
    const columns = savedMap?.columns as Prisma.InputJsonObject | undefined;
    const applied = savedMap && columns ? { columns, columnsLabel: savedMap.label } : {};
    const members = { currentEvaluationId: evaluationId, ...applied };
    const comparing = addingJobAt(CHECK_COPIES, { runId: id }, `${CHECK_COPIES}:${id}`, "follow-up");
    await this.runTransitionsRepository.moveLocked(tx, held, "finish", SERVICE, members, [comparing]);
  }

  /** Notes that a log cannot be read, and why; a day later its bytes are removed. */
  async storeLogError(id: string, fault: { code: string; message: string }): Promise<void> {
    await this.runTransitionsRepository.transaction((tx) => this.refuse(tx, id, fault));
  }

  private async refuse(tx: Transaction, id: string, fault: { code: string; message: string }): Promise<void> {
    await this.runTransitionsRepository.move(tx, id, "fail", SERVICE, { error: { ...fault } });
    const { logSha256 } = await this.logOf(tx, id);
    await this.logRemovalsRepository.queue(tx, [logSha256]);
  }

  /** Refuses a run that was not evaluated, since its log is none. */
  async refuseUnread(tx: Transaction, id: string, fault: { code: string; message: string }): Promise<void> {
    await this.runTransitionsRepository.move(tx, id, "start", SERVICE);
    await this.refuse(tx, id, fault);
  }

  /** Queues the evaluation of a run as if it had not been tried. */
  async queueAgain(id: string): Promise<void> {
    await this.runTransitionsRepository.transaction(async (tx) => {
      await this.evaluationTurnsRepository.hold(tx);
      await this.runTransitionsRepository.lock(tx, id);
      await this.evaluationTurnsRepository.queue(tx, id);
    });
  }

  /** A run with the hash of its log. */
  logOf(tx: Transaction, id: string) {
    return tx.run.findUniqueOrThrow({ where: { id }, select: { id: true, logSha256: true } });
  }
}

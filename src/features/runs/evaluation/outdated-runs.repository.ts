import { isDeepStrictEqual } from "node:util";
import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../../platform/database/database.js";
import { addJobs } from "../../../platform/queue/add-job.js";
import { OutdatedEvaluation } from "../../protocols/active-version.service.js";
import { CHECK_COPIES, EVALUATE_ANEW } from "../jobs.js";
import type { RunToEvaluate } from "./queued-runs.repository.js";

/** The versions of protocol and computation that an evaluation was made under. */
interface Versions {
  readonly version: number;
  readonly computationVersion: number;
}

/** Marks runs whose evaluation rests on what is no longer said of their pack. */
@Injectable()
export class OutdatedRunsRepository {
  /** Locks the runs of a pack until the transaction ends; before any version or pack. */
  async lockRunsOf(tx: Transaction, packId: string): Promise<void> {
    await tx.$queryRaw`
      SELECT run.id FROM run JOIN specimen ON specimen.id = run.specimen_id
      WHERE specimen.pack_id = ${packId}::uuid ORDER BY run.id FOR UPDATE OF run`;
  }

  /**
   * Runs of a pack that were evaluated count nowhere until they are evaluated anew, which is queued; those too that were withdrawn when their figures
   * had been seen, which stay in their testers' means.
   */
  async markRunsOf(tx: Transaction, packId: string): Promise<void> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      UPDATE run SET outdated = true FROM specimen
      WHERE specimen.id = run.specimen_id AND specimen.pack_id = ${packId}::uuid AND run.state = 'processed'
        AND (run.review_state <> 'withdrawn' OR run.withdrawn_from IS NOT NULL)
      RETURNING run.id::text`;
    await this.queue(tx, rows);
  }

  /** The same for one run. */
  async mark(tx: Transaction, id: string): Promise<void> {
    await tx.run.update({ where: { id }, data: { outdated: true }, select: { id: true } });
    await this.queue(tx, [{ id }]);
  }

  /** Has the runs of a pack compared anew with the others of the pack that they become those of; see `compareAnew`. */
  async compareRunsOf(tx: Transaction, packId: string): Promise<void> {
    const where = { packId, state: "processed", review: { not: "withdrawn" } };
    const runs = await tx.run.findMany({ where, select: { id: true } });
    await this.compareAnew(
      tx,
      runs.map(({ id }) => id),
    );
  }

  /** Has runs compared for copies with those of a pack that they come to, which is queued: until then none of them can be accepted. */
  async compareAnew(tx: Transaction, ids: readonly string[]): Promise<void> {
    await tx.copyFingerprint.updateMany({ where: { runId: { in: [...ids] } }, data: { checkedAt: null } });
    const jobs = ids.map((runId) => ({ payload: { runId }, key: `${CHECK_COPIES}:${runId}` }));
    await addJobs(tx, CHECK_COPIES, jobs, "background");
  }

  /** Makes an evaluation the current one of a run, which is up to date then. */
  async finish(tx: Transaction, id: string, evaluationId: string): Promise<void> {
    const data = { currentEvaluationId: evaluationId, outdated: false };
    await tx.run.update({ where: { id }, data, select: { id: true } });
  }

  /**
   * Locks what the evaluation of a run, which is locked, rests on until the transaction ends: the active version of its protocol, then its pack.
   *
   * @param under what it was made under; null where there is no evaluation to keep
   * @throws OutdatedEvaluation where that is older than the active version, or the run belongs to a pack of which something else is registered now
   */
  async requireUnchanged(tx: Transaction, run: RunToEvaluate, under: Versions | null): Promise<void> {
    const [now] = await tx.$queryRaw<(Versions & ReturnType<typeof factsOf>)[]>`
      SELECT active_version.protocol_version AS version, active_version.computation_version AS "computationVersion",
        pack.id::text AS "packId", chemistry, series, parallel, rated_capacity_mah AS "ratedCapacityMah",
        label_continuous_c AS "labelContinuousC", label_burst_c AS "labelBurstC", pack.mass_grams AS "massGrams"
      FROM run JOIN specimen ON specimen.id = run.specimen_id JOIN pack ON pack.id = specimen.pack_id
      JOIN active_version ON active_version.protocol_key = run.protocol_key
      WHERE run.id = ${run.id}::uuid FOR SHARE OF active_version FOR NO KEY UPDATE OF pack`;
    if (!now) throw new Error(`protocol ${run.protocolKey} has no active version`);
    const { version, computationVersion, ...facts } = now;
    if (under && (version > under.version || computationVersion > under.computationVersion)) {
      throw new OutdatedEvaluation(
        "the active version changed while the run was evaluated; the evaluation is repeated",
      );
    }
    if (!isDeepStrictEqual(facts, factsOf(run))) {
      throw new OutdatedEvaluation("the pack changed while the run was evaluated; the evaluation is repeated");
    }
  }

  private async queue(tx: Transaction, runs: readonly { readonly id: string }[]): Promise<void> {
    await this.outdateReevaluated(
      tx,
      runs.map(({ id }) => id),
    );
    const jobs = runs.map(({ id }) => ({ payload: { runId: id }, key: `${EVALUATE_ANEW}:${id}` }));
    return addJobs(tx, EVALUATE_ANEW, jobs, "background");
  }

  /** What re-evaluations at work have made of runs, or are making, is made once more before they end. */
  private async outdateReevaluated(tx: Transaction, ids: readonly string[]): Promise<void> {
    await tx.$executeRaw`
      WITH item AS MATERIALIZED (
        SELECT item.reevaluation_id, item.run_id FROM reevaluation_run AS item
        JOIN reevaluation ON reevaluation.id = item.reevaluation_id AND reevaluation.state = 'evaluating'
        WHERE item.run_id = ANY(${[...ids]}::uuid[]) ORDER BY item.reevaluation_id, item.run_id FOR UPDATE OF item)
      UPDATE reevaluation_run SET outdated = true FROM item
      WHERE reevaluation_run.reevaluation_id = item.reevaluation_id AND reevaluation_run.run_id = item.run_id`;
  }
}

/** What of a pack an evaluation rests on. */
function factsOf({ specimen: { packId, pack } }: RunToEvaluate) {
  const { chemistry, series, parallel, ratedCapacityMah, labelContinuousC, labelBurstC, massGrams } = pack;
  return { packId, chemistry, series, parallel, ratedCapacityMah, labelContinuousC, labelBurstC, massGrams };
}

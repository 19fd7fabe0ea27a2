import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { COUNTS_WITHDRAWN } from "../../../platform/database/rows/withdrawn-runs.js";

/** Reads which withdrawn runs go on counting in what their testers found. */
@Injectable()
export class CountedWithdrawalsRepository {
  constructor(private readonly database: Database) {}

  /**
   * Those of some runs that hold a run up as if they were accepted, their measurement being counted already. An own one that was never accepted
   * does where another run of its pack counts beside it; one with the same log, of the same pack under the same protocol, does not, since
   * it stops counting when the run is accepted.
   *
   * @param runId the run that is to be accepted
   */
  async among(runIds: readonly string[], runId: string, tx: Transaction = this.database): Promise<Set<string>> {
    if (runIds.length === 0) return new Set();
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT run.id::text FROM run
      JOIN evaluation ON evaluation.id = run.current_evaluation_id
      JOIN run AS wanted ON wanted.id = ${runId}::uuid
      WHERE run.id = ANY(${[...runIds]}::uuid[]) AND ${COUNTS_WITHDRAWN} AND (run.tester_id <> wanted.tester_id OR (
        (run.log_sha256, run.pack_id, run.protocol_key) IS DISTINCT FROM (wanted.log_sha256, wanted.pack_id, wanted.protocol_key)
        AND (run.withdrawn_from = 'accepted' OR EXISTS (SELECT FROM run AS beside
          WHERE beside.tester_id = run.tester_id AND beside.pack_id = run.pack_id AND beside.protocol_key = run.protocol_key
            AND (beside.review_state = 'accepted' OR beside.withdrawn_from = 'accepted')))))`;
    return new Set(rows.map(({ id }) => id));
  }
}

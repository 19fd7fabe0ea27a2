import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";

/** How many accounts could decide on a run, beside those that are left out. */
interface Candidates {
  readonly freeModerators: number;
  readonly freeAdministrators: number;
  readonly administrators: number;
}

/** Who decides where somebody may not: another moderator, an administrator for want of one, or nobody that there is. */
export const ARBITERS = ["moderator", "administrator", "nobody"] as const;
export type Arbiter = (typeof ARBITERS)[number];

/** Knows who has a conflict of interest: whoever has ever uploaded a run of the same chemistry and cell count. */
@Injectable()
export class InterestsRepository {
  constructor(private readonly database: Database) {}

  /** Whether an account has a conflict of interest with a run; what became of its own runs makes no difference. */
  async competes(accountId: string, runId: string): Promise<boolean> {
    const rows = await this.database.$queryRaw<object[]>`
      SELECT FROM run JOIN pack ON pack.id = run.pack_id
      JOIN class_interest AS interest ON interest.account_id = ${accountId}::uuid
        AND interest.chemistry = pack.chemistry AND interest.series = pack.series
      WHERE run.id = ${runId}::uuid`;
    return rows.length > 0;
  }

  /** Whether every moderator and administrator but the run's tester has a conflict of interest with it. */
  async nobodyIsFree(runId: string): Promise<boolean> {
    const { freeModerators, freeAdministrators } = await this.candidates(this.database, runId, null);
    return freeModerators + freeAdministrators === 0;
  }

  /** Who can decide on a run beside its tester and the account that is left out. */
  async arbiterOf(runId: string, leftOut: string | null, tx: Transaction = this.database): Promise<Arbiter> {
    const { freeModerators, freeAdministrators, administrators } = await this.candidates(tx, runId, leftOut);
    if (freeModerators > 0) return "moderator";
    return freeAdministrators + administrators > 0 ? "administrator" : "nobody";
  }

  private async candidates(tx: Transaction, runId: string, leftOut: string | null): Promise<Candidates> {
    const [found] = await tx.$queryRaw<Candidates[]>`
      SELECT count(*) FILTER (WHERE is_free AND role = 'moderator')::int AS "freeModerators",
        count(*) FILTER (WHERE is_free AND role = 'administrator')::int AS "freeAdministrators",
        count(*) FILTER (WHERE role = 'administrator')::int AS administrators
      FROM (SELECT account.role, NOT EXISTS (SELECT FROM class_interest AS interest
          WHERE interest.account_id = account.id AND interest.chemistry = pack.chemistry AND interest.series = pack.series) AS is_free
        FROM run JOIN pack ON pack.id = run.pack_id
        JOIN account ON account.role <> 'tester' AND account.suspended_at IS NULL AND account.erased_at IS NULL
          AND account.id <> run.tester_id AND account.id IS DISTINCT FROM ${leftOut}::uuid
        WHERE run.id = ${runId}::uuid) AS candidate`;
    return found as Candidates;
  }
}

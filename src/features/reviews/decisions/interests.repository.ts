import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { classesOfRun } from "../../conflicts/conflicts.service.js";

/** How many accounts could decide on a run, beside those that are left out. */
interface Candidates {
  readonly freeModerators: number;
  readonly freeAdministrators: number;
  readonly administrators: number;
}

/** Who decides where somebody may not: another moderator, an administrator for want of one, or nobody that there is. */
export const ARBITERS = ["moderator", "administrator", "nobody"] as const;
export type Arbiter = (typeof ARBITERS)[number];

/** Knows who has a conflict of interest: whoever has ever uploaded a run of the chemistry and cell count that a run is of, or was before. */
@Injectable()
export class InterestsRepository {
  constructor(private readonly database: Database) {}

  /** Whether an account has a conflict of interest with a run; what became of its own runs makes no difference. */
  async competes(accountId: string, runId: string): Promise<boolean> {
    const rows = await this.database.$queryRaw<object[]>`
      SELECT FROM (${classesOfRun(Prisma.sql`${runId}::uuid`)}) AS its JOIN class_interest AS interest USING (chemistry, series)
      WHERE interest.account_id = ${accountId}::uuid LIMIT 1`;
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
      FROM (SELECT account.role, NOT EXISTS (SELECT FROM (${classesOfRun(Prisma.sql`run.id`)}) AS its
          JOIN class_interest AS interest USING (chemistry, series) WHERE interest.account_id = account.id) AS is_free
        FROM run
        JOIN account ON account.role <> 'tester' AND account.suspended_at IS NULL AND account.erased_at IS NULL
          AND account.id <> run.tester_id AND account.id IS DISTINCT FROM ${leftOut}::uuid
        WHERE run.id = ${runId}::uuid) AS candidate`;
    return found as Candidates;
  }
}

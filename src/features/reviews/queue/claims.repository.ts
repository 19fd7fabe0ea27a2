import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database, type Transaction } from "../../../platform/database/database.js";

export interface Claim {
  readonly runId: string;
  readonly moderatorId: string;
  readonly handle: string;
  readonly since: Date;
  readonly until: Date;
}

/** How long a claim lasts, and how long all claims of one moderator on one run in a day, minutes. */
export interface ClaimTimes {
  readonly minutes: number;
  readonly maxMinutes: number;
}

/** When claims of a moderator on a run are counted anew. */
const RENEWED_AFTER_HOURS = 24;

const WITH_HANDLE = { moderator: { select: { handle: true } } } as const;
type Row = Prisma.ReviewClaimGetPayload<{ include: typeof WITH_HANDLE }>;

@Injectable()
export class ClaimsRepository {
  constructor(private readonly database: Database) {}

  /** Takes a run for a while, or for longer. "taken" while another moderator has it, "used-up" when this one had it long enough. */
  claim(
    runId: string,
    moderatorId: string,
    { minutes, maxMinutes }: ClaimTimes,
  ): Promise<"claimed" | "taken" | "used-up"> {
    return this.database.$transaction(async (tx) => {
      await tx.$queryRaw`SELECT FROM run WHERE id = ${runId}::uuid FOR NO KEY UPDATE`;
      const where = { runId, moderatorId: { not: moderatorId }, until: { gt: new Date() } };
      if (await tx.reviewClaim.findFirst({ where, select: { runId: true } })) return "taken";
      const isOld = Prisma.sql`present.since <= now() - make_interval(hours => ${RENEWED_AFTER_HOURS}::int)`;
      const whole = Prisma.sql`now() + make_interval(mins => ${minutes}::int)`;
      const [claim] = await tx.$queryRaw<{ holds: boolean }[]>`
        INSERT INTO review_claim AS present (run_id, moderator_id, since, until)
        VALUES (${runId}::uuid, ${moderatorId}::uuid, now(), ${whole})
        ON CONFLICT (run_id, moderator_id) DO UPDATE SET
          since = CASE WHEN ${isOld} THEN now() ELSE present.since END,
          until = CASE WHEN ${isOld} THEN ${whole}
            ELSE least(${whole}, present.since + make_interval(mins => ${maxMinutes}::int)) END
        RETURNING until > now() AS holds`;
      return claim?.holds ? "claimed" : "used-up";
    });
  }

  /** Runs that a moderator has now, beside one. */
  count(moderatorId: string, besideRunId: string): Promise<number> {
    return this.database.reviewClaim.count({
      where: { moderatorId, runId: { not: besideRunId }, until: { gt: new Date() } },
    });
  }

  /** Ends the claim of a moderator on a run, or on all. */
  async release(moderatorId: string, runId?: string): Promise<void> {
    const where = { moderatorId, ...(runId ? { runId } : {}), until: { gt: new Date() } };
    await this.database.reviewClaim.updateMany({ where, data: { until: new Date() } });
  }

  /** Ends all claims on a run. */
  async end(tx: Transaction, runId: string): Promise<void> {
    await tx.reviewClaim.updateMany({ where: { runId, until: { gt: new Date() } }, data: { until: new Date() } });
  }

  /** Who has some runs now, by run. */
  async openOf(runIds: readonly string[]): Promise<Map<string, Claim>> {
    const where = { runId: { in: [...runIds] }, until: { gt: new Date() } };
    const rows = await this.database.reviewClaim.findMany({ where, include: WITH_HANDLE });
    return new Map(rows.map((row) => [row.runId, claimOf(row)]));
  }

  async openOfRun(runId: string): Promise<Claim | null> {
    return (await this.openOf([runId])).get(runId) ?? null;
  }
}

function claimOf({ runId, moderatorId, moderator: { handle }, since, until }: Row): Claim {
  return { runId, moderatorId, handle, since, until };
}

import { Injectable } from "@nestjs/common";
import type { Decision } from "../../../core/lifecycle/run-lifecycle.js";
import { Database, type Transaction } from "../../../platform/database/database.js";

/** What a moderator with a conflict of interest would decide. */
export interface Proposal {
  readonly runId: string;
  readonly moderator: { readonly id: string; readonly handle: string };
  readonly decision: string;
  readonly createdAt: Date;
}

@Injectable()
export class ProposalsRepository {
  constructor(private readonly database: Database) {}

  async propose(tx: Transaction, runId: string, moderatorId: string, decision: Decision): Promise<{ id: string }> {
    const where = { runId_moderatorId: { runId, moderatorId } };
    return tx.reviewProposal.upsert({ where, create: { runId, moderatorId, decision }, update: { decision } });
  }

  /** Whether somebody else would decide so too. */
  async isSeconded(runId: string, moderatorId: string, decision: Decision): Promise<boolean> {
    const where = { runId, decision, moderatorId: { not: moderatorId } };
    return (await this.database.reviewProposal.count({ where })) > 0;
  }

  async end(tx: Transaction, runId: string): Promise<void> {
    await tx.reviewProposal.deleteMany({ where: { runId } });
  }

  /** By run, the first one first. */
  async of(runIds: readonly string[]): Promise<Map<string, Proposal[]>> {
    const proposals = await this.database.reviewProposal.findMany({
      where: { runId: { in: [...runIds] } },
      select: { runId: true, decision: true, createdAt: true, moderator: { select: { id: true, handle: true } } },
      orderBy: { createdAt: "asc" },
    });
    return Map.groupBy(proposals, ({ runId }) => runId);
  }
}

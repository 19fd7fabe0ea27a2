import { Injectable } from "@nestjs/common";
import { DEFAULT_POLICY, type StandingPolicy } from "../../../core/record/policy.js";
import { Database, type Transaction } from "../../../platform/database/database.js";

/** How many testers make a standing established: every version that was set. */
@Injectable()
export class StandingPolicyRepository {
  constructor(private readonly database: Database) {}

  /** What holds now. */
  async policy(tx: Transaction = this.database): Promise<StandingPolicy> {
    const stored = await tx.standingPolicy.findFirst({ orderBy: { version: "desc" } });
    if (!stored) return DEFAULT_POLICY;
    const { testers, referenceTesters, vouchedOnly, sealedFrom } = stored;
    return { testers, referenceTesters, vouchedOnly, sealedFrom };
  }
}

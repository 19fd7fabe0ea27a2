import { Injectable } from "@nestjs/common";
import { DEFAULT_POLICY, type StandingPolicy } from "../../../core/record/policy.js";
import type { Prisma } from "../../../generated/prisma/client.js";
import { Database, type Transaction } from "../../../platform/database/database.js";

const WITH_SETTER = { setBy: { select: { id: true, handle: true } } } satisfies Prisma.StandingPolicyInclude;
export type StoredPolicy = Prisma.StandingPolicyGetPayload<{ include: typeof WITH_SETTER }>;

/** How many testers make a standing established: every version that was set. */
@Injectable()
export class StandingPolicyRepository {
  constructor(private readonly database: Database) {}

  /** The version that holds; null while nobody has set any. */
  current(tx: Transaction = this.database): Promise<StoredPolicy | null> {
    return tx.standingPolicy.findFirst({ orderBy: { version: "desc" }, include: WITH_SETTER });
  }

  /** What holds now. */
  async policy(tx: Transaction = this.database): Promise<StandingPolicy> {
    const stored = await this.current(tx);
    if (!stored) return DEFAULT_POLICY;
    const { testers, referenceTesters, vouchedOnly, sealedFrom } = stored;
    return { testers, referenceTesters, vouchedOnly, sealedFrom };
  }

  create(tx: Transaction, version: number, policy: StandingPolicy, setById: string): Promise<StoredPolicy> {
    return tx.standingPolicy.create({ data: { version, ...policy, setById }, include: WITH_SETTER });
  }
}

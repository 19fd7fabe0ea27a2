import { Injectable } from "@nestjs/common";
import { DEFAULT_POLICY, type StandingPolicy } from "../../../core/record/policy.js";
import { isReference, statusAt } from "../../../core/record/status.js";
import type { Prisma } from "../../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../../../platform/database/advisory-locks.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { byVersion } from "../../../platform/paging/by-version.js";
import type { Window } from "../../../platform/paging/page.js";

const WITH_SETTER = { setBy: { select: { id: true, handle: true } } } satisfies Prisma.StandingPolicyInclude;
export type StoredStandingPolicy = Prisma.StandingPolicyGetPayload<{ include: typeof WITH_SETTER }>;

/** How many testers make a standing established: every version that was set. */
@Injectable()
export class StandingPolicyRepository {
  constructor(private readonly database: Database) {}

  /** What holds now, or held at an instant. */
  async policy(tx: Transaction = this.database, at: Date | null = null): Promise<StandingPolicy> {
    const stored = await tx.standingPolicy.findFirst({
      where: at ? { setAt: { lt: at } } : {},
      orderBy: { version: "desc" },
    });
    if (!stored) return DEFAULT_POLICY;
    const { testers, referenceTesters, vouchedOnly, sealedFrom } = stored;
    return { testers, referenceTesters, vouchedOnly, sealedFrom };
  }

  /** The newest version; null while nobody has set any. */
  current(tx: Transaction = this.database): Promise<StoredStandingPolicy | null> {
    return tx.standingPolicy.findFirst({ orderBy: { version: "desc" }, include: WITH_SETTER });
  }

  /** Every version that was set, the newest first. */
  list(window: Window): Promise<StoredStandingPolicy[]> {
    return this.database.standingPolicy.findMany({ ...byVersion(window), include: WITH_SETTER });
  }

  count(): Promise<number> {
    return this.database.standingPolicy.count();
  }

  async lock(tx: Transaction): Promise<void> {
    await tx.$executeRaw`SELECT pg_advisory_xact_lock(${ADVISORY_LOCKS.setStandingPolicy}::bigint)`;
  }

  create(
    tx: Transaction,
    version: number,
    policy: StandingPolicy & { readonly setById: string },
  ): Promise<StoredStandingPolicy> {
    return tx.standingPolicy.create({ data: { version, ...policy }, include: WITH_SETTER });
  }

  /** Testers by whose results records are judged, whatever they have measured. */
  async countReferenceTesters(): Promise<number> {
    const rows = await this.database.testerRecord.findMany({
      where: { OR: [{ vouchedAt: { not: null } }, { establishedSince: { not: null } }] },
      select: { vouchedAt: true, establishedSince: true },
    });
    const now = Date.now();
    const times = rows.map(({ vouchedAt, establishedSince }) => ({
      vouchedAt: vouchedAt?.getTime() ?? null,
      establishedSince: establishedSince?.getTime() ?? null,
    }));
    return times.filter((one) => isReference(statusAt(one, now))).length;
  }
}

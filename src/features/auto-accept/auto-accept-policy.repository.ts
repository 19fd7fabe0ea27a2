import { Injectable } from "@nestjs/common";
import type { AutoAcceptLimits } from "../../core/auto-accept/criteria.js";
import type { AutoAcceptPolicy, Prisma } from "../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../../platform/database/advisory-locks.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { byVersion } from "../../platform/paging/by-version.js";
import type { Window } from "../../platform/paging/page.js";
import { addJobs } from "../../platform/queue/add-job.js";
import { AUTO_ACCEPT_RUN } from "../runs/runs.service.js";

const WITH_SETTER = { setBy: { select: { id: true, handle: true } } } satisfies Prisma.AutoAcceptPolicyInclude;
export type StoredRule = Prisma.AutoAcceptPolicyGetPayload<{ include: typeof WITH_SETTER }>;
export type NewRule = AutoAcceptLimits & { readonly enabled: boolean; readonly setById: string };

@Injectable()
export class AutoAcceptPolicyRepository {
  constructor(private readonly database: Database) {}

  async lock(tx: Transaction): Promise<void> {
    await tx.$executeRaw`SELECT pg_advisory_xact_lock(${ADVISORY_LOCKS.acceptByRule}::bigint)`;
  }

  /** The version that holds; null while nobody has set any. */
  current(tx: Transaction = this.database): Promise<StoredRule | null> {
    return tx.autoAcceptPolicy.findFirst({ orderBy: { version: "desc" }, include: WITH_SETTER });
  }

  /** Every version that was set, the newest first. */
  list(window: Window): Promise<StoredRule[]> {
    return this.database.autoAcceptPolicy.findMany({ ...byVersion(window), include: WITH_SETTER });
  }

  count(): Promise<number> {
    return this.database.autoAcceptPolicy.count();
  }

  create(tx: Transaction, version: number, rule: NewRule): Promise<StoredRule> {
    return tx.autoAcceptPolicy.create({ data: { version, ...rule }, include: WITH_SETTER });
  }

  /** Queues every run that waits, to be looked at by the rule as it is now. */
  async queueWaiting(tx: Transaction): Promise<void> {
    const runs = await tx.run.findMany({ where: { review: "pending", state: "processed" }, select: { id: true } });
    const jobs = runs.map(({ id }) => ({ payload: { runId: id }, key: `${AUTO_ACCEPT_RUN}:${id}` }));
    await addJobs(tx, AUTO_ACCEPT_RUN, jobs, "background");
  }

  /** Keeps that the rule has accepted a run. */
  async recordAcceptance(tx: Transaction, runId: string, { version }: AutoAcceptPolicy): Promise<void> {
    await tx.review.create({
      data: { runId, ruleVersion: version, decision: "accept", previousReview: "pending" },
      select: { id: true },
    });
  }
}

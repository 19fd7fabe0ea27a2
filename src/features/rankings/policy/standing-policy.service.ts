import { Injectable } from "@nestjs/common";
import { DEFAULT_POLICY, minReferenceTesters, type StandingPolicy } from "../../../core/record/policy.js";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import type { Caller } from "../../../platform/auth/account.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../../platform/paging/page.js";
import { StandingJobsService } from "../standing-jobs.service.js";
import { StandingsService } from "../standings.service.js";
import { StandingPolicyRepository, type StoredStandingPolicy } from "./standing-policy.repository.js";
import type { StandingPolicyInput, StandingPolicyVersionView, StandingPolicyView } from "./standing-policy.views.js";

/** What makes a standing established: a service sets it for itself. */
@Injectable()
export class StandingPolicyService {
  constructor(
    private readonly standingPolicyRepository: StandingPolicyRepository,
    private readonly standingsService: StandingsService,
    private readonly standingJobsService: StandingJobsService,
    private readonly auditLog: AuditLog,
  ) {}

  async policy(): Promise<StandingPolicyView> {
    return policyView(await this.standingPolicyRepository.current());
  }

  /** Every version that was set, the newest first, with why. */
  async versions(args: PageArgs): Promise<Page<StandingPolicyVersionView>> {
    const page = await readPage(args, {
      name: "standing-policy-versions",
      keys: ["number"],
      read: (window) => this.standingPolicyRepository.list(window),
      count: () => this.standingPolicyRepository.count(),
      keyOf: ({ version }) => [version],
    });
    const reasons = await this.auditLog.reasonsOf(
      "standing-policy",
      "set",
      page.items.map(({ version }) => String(version)),
    );
    return mapPage(page, (one) => ({ ...policyView(one), reason: reasons.get(String(one.version)) ?? null }));
  }

  /** Sets the policy; standings and records are computed anew by it. */
  async set({ reason, ...sent }: StandingPolicyInput, caller: Caller): Promise<StandingPolicyView> {
    const policy = { ...sent, sealedFrom: sent.sealedFrom ?? null };
    requireSensible(policy);
    return this.auditLog.transaction(async (tx) => {
      await this.standingPolicyRepository.lock(tx);
      const before = await this.standingPolicyRepository.current(tx);
      const version = (before?.version ?? 0) + 1;
      const stored = await this.standingPolicyRepository.create(tx, version, { ...policy, setById: caller.id });
      await this.standingsService.announceChange(tx);
      await this.standingJobsService.queueAll(tx);
      this.auditLog.record(tx, {
        actorId: caller.id,
        event: "set",
        subject: { kind: "standing-policy", id: String(stored.version) },
        from: before && textOf(before),
        to: textOf(stored),
        reason,
      });
      return policyView(stored);
    });
  }
}

function requireSensible({ testers, referenceTesters }: StandingPolicy): void {
  const min = minReferenceTesters(testers);
  if (referenceTesters >= min && referenceTesters <= testers) return;
  const message = `must be from ${min} to ${testers} where testers is ${testers}`;
  throw invalidInput([{ pointer: "/referenceTesters", message }]);
}

const membersOf = ({ testers, referenceTesters, vouchedOnly, sealedFrom }: StandingPolicy): StandingPolicy => ({
  testers,
  referenceTesters,
  vouchedOnly,
  sealedFrom,
});

const textOf = (policy: StandingPolicy): string => JSON.stringify(membersOf(policy));

const policyView = (stored: StoredStandingPolicy | null): StandingPolicyView => ({
  ...membersOf(stored ?? DEFAULT_POLICY),
  version: stored?.version ?? 0,
  setBy: stored?.setBy ?? null,
  setAt: stored?.setAt.toISOString() ?? null,
});

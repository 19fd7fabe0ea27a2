import { Injectable, type OnModuleInit } from "@nestjs/common";
import { type AutoAcceptLimits, type CriterionOutcome, criteriaMet } from "../../core/auto-accept/criteria.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { RankingEffectsService } from "../rankings/ranking-effects.service.js";
import { DecisionsService } from "../runs/decisions/decisions.service.js";
import { AUTO_ACCEPT_RUN } from "../runs/runs.service.js";
import { AutoAcceptFactsRepository, isSampled } from "./auto-accept-facts.repository.js";
import { AutoAcceptPolicyRepository, type StoredRule } from "./auto-accept-policy.repository.js";
import type {
  AcceptanceCheckView,
  AutoAcceptPolicyInput,
  AutoAcceptPolicyVersionView,
  AutoAcceptPolicyView,
} from "./auto-accept-policy.views.js";

/** What the rule asks for while nobody has set it; it is off then. */
const SUGGESTED: AutoAcceptLimits = {
  moderatorAcceptances: 5,
  noRejectionDays: 90,
  accountDays: 30,
  otherTesters: 2,
  maxDeviationPercent: 5,
  maxPerDay: 3,
  sampleOneIn: 10,
};

/** Accepts conforming runs of testers in good standing, by a rule that an administrator sets and that is off at first. */
@Injectable()
export class AutoAcceptService implements OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly autoAcceptPolicyRepository: AutoAcceptPolicyRepository,
    private readonly autoAcceptFactsRepository: AutoAcceptFactsRepository,
    private readonly rankingEffectsService: RankingEffectsService,
    private readonly decisionsService: DecisionsService,
    private readonly auditLog: AuditLog,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(AUTO_ACCEPT_RUN, async (payload) => {
      await this.consider((payload as { runId: string }).runId);
    });
  }

  async rule(): Promise<AutoAcceptPolicyView> {
    return ruleView(await this.autoAcceptPolicyRepository.current());
  }

  /** Every version that was set, the newest first, with why. */
  async versions(args: PageArgs): Promise<Page<AutoAcceptPolicyVersionView>> {
    const page = await readPage(args, {
      name: "auto-accept-policy-versions",
      keys: ["number"],
      read: (window) => this.autoAcceptPolicyRepository.list(window),
      count: () => this.autoAcceptPolicyRepository.count(),
      keyOf: ({ version }) => [version],
    });
    const ids = page.items.map(({ actorId }) => actorId);
    const reasons = await this.auditLog.reasonsOf("auto-accept-policy", "set", ids);
    return mapPage(page, (one) => ({ ...ruleView(one), reason: reasons.get(one.actorId) ?? null }));
  }

  /** Sets the rule anew; what waits is looked at by it, and nothing is accepted by the one before from then on. */
  async set({ reason, ...terms }: AutoAcceptPolicyInput, caller: Caller): Promise<AutoAcceptPolicyView> {
    return this.auditLog.transaction(async (tx) => {
      await this.autoAcceptPolicyRepository.lock(tx);
      const before = await this.autoAcceptPolicyRepository.current(tx);
      const stored = await this.autoAcceptPolicyRepository.create(tx, (before?.version ?? 0) + 1, {
        ...terms,
        setById: caller.id,
      });
      this.auditLog.record(tx, {
        actorId: caller.id,
        event: "set",
        subject: { kind: "auto-accept-policy", id: stored.actorId },
        from: before ? stateOf(before) : null,
        to: stateOf(stored),
        rules: Object.entries(limitsOf(stored)).map(([name, value]) => `${name} ${value}`),
        reason,
      });
      if (stored.enabled) await this.autoAcceptPolicyRepository.queueWaiting(tx);
      return ruleView(stored);
    });
  }

  /** How a run meets the rule now, for the moderators; nothing is decided by it. */
  async check(runId: string): Promise<AcceptanceCheckView> {
    return this.auditLog.transaction(async (tx) => {
      const rule = await this.autoAcceptPolicyRepository.current(tx);
      const terms = await this.termsOf(runId, rule ?? SUGGESTED, tx);
      if (!terms) throw notFound("run");
      return { runId, ruleVersion: rule?.version ?? 0, terms: terms.map(finite) };
    });
  }

  /**
   * Accepts a run when the rule is on and the run meets all its terms. Doing it twice, or in two processes at once, accepts
   * once: under the run's lock and that of the rule, the run waits or does not.
   */
  async consider(runId: string): Promise<boolean> {
    if (!(await this.autoAcceptPolicyRepository.current())?.enabled) return false;
    let rule: StoredRule | null = null;
    let terms: CriterionOutcome[] = [];
    return this.decisionsService.acceptByRule(
      runId,
      async (tx) => {
        await this.autoAcceptPolicyRepository.lock(tx);
        rule = await this.autoAcceptPolicyRepository.current(tx);
        if (!rule?.enabled) return null;
        terms = (await this.termsOf(runId, rule, tx)) ?? [];
        if (terms.length === 0 || terms.some(({ met }) => !met)) return null;
        return { actorId: rule.actorId, reason: reasonOf(rule, terms), rules: terms.map(({ term }) => term) };
      },
      async (tx) => {
        if (rule) await this.autoAcceptPolicyRepository.recordAcceptance(tx, runId, rule);
      },
    );
  }

  private async termsOf(runId: string, limits: AutoAcceptLimits, tx: Transaction): Promise<CriterionOutcome[] | null> {
    const found = await this.autoAcceptFactsRepository.of(runId, limits, tx);
    if (!found) return null;
    const { logSha256, ...facts } = found;
    const sampleKey = await this.autoAcceptFactsRepository.sampleKey(tx);
    const effects = await this.rankingEffectsService.of(runId, tx);
    const isDrawn = isSampled(logSha256, sampleKey, limits.sampleOneIn);
    return criteriaMet({ ...facts, isActiveVersion: effects.length > 0, isSampled: isDrawn, effects }, limits);
  }
}

function reasonOf({ version }: StoredRule, terms: readonly CriterionOutcome[]): string {
  const said = terms.map(({ term, observed, limit }) => {
    return observed === null ? term : `${term} (${Number(observed.toPrecision(3))}, limit ${limit})`;
  });
  return `Accepted by the auto-accept policy, version ${version}: ${said.join(", ")}.`;
}

/** JSON has no endless numbers. */
function finite(outcome: CriterionOutcome): CriterionOutcome {
  return { ...outcome, observed: Number.isFinite(outcome.observed) ? outcome.observed : null };
}

const stateOf = ({ version, enabled }: StoredRule): string => `${version}/${enabled ? "on" : "off"}`;

function limitsOf({
  moderatorAcceptances,
  noRejectionDays,
  accountDays,
  otherTesters,
  maxDeviationPercent,
  maxPerDay,
  sampleOneIn,
}: AutoAcceptLimits): AutoAcceptLimits {
  return {
    moderatorAcceptances,
    noRejectionDays,
    accountDays,
    otherTesters,
    maxDeviationPercent,
    maxPerDay,
    sampleOneIn,
  };
}

function ruleView(rule: StoredRule | null): AutoAcceptPolicyView {
  if (!rule) return { ...SUGGESTED, enabled: false, version: 0, setBy: null, setAt: null };
  const { enabled, version, setBy, setAt } = rule;
  const setter = { id: setBy.id, handle: setBy.handle };
  return { ...limitsOf(rule), enabled, version, setBy: setter, setAt: setAt.toISOString() };
}

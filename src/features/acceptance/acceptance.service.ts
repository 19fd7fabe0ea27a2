import { Injectable, type OnModuleInit } from "@nestjs/common";
import { type AcceptanceLimits, type TermOutcome, termsMet } from "../../core/acceptance/terms.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { notFound } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { Happenings } from "../../platform/record/happenings.js";
import { RankingEffectsService } from "../rankings/ranking-effects.service.js";
import { DecisionsService } from "../runs/decisions.service.js";
import { CONSIDER_RUN } from "../runs/runs.service.js";
import { AcceptanceFactsRepository, isSampled } from "./acceptance-facts.repository.js";
import { AcceptanceRuleRepository, type StoredRule } from "./acceptance-rule.repository.js";
import type { AcceptanceCheckView, AcceptanceRuleInput, AcceptanceRuleView } from "./acceptance-rule.views.js";

/** What the rule asks for while nobody has set it; it is off then. */
const SUGGESTED: AcceptanceLimits = {
  moderatorAcceptances: 5,
  cleanDays: 90,
  accountDays: 30,
  otherTesters: 2,
  farthestPercent: 5,
  mostPerDay: 3,
  sampleEvery: 10,
};

/** Accepts conforming runs of testers in good standing, by a rule that an administrator sets and that is off at first. */
@Injectable()
export class AcceptanceService implements OnModuleInit {
  constructor(
    private readonly queue: JobQueue,
    private readonly rules: AcceptanceRuleRepository,
    private readonly facts: AcceptanceFactsRepository,
    private readonly effects: RankingEffectsService,
    private readonly decisions: DecisionsService,
    private readonly happenings: Happenings,
  ) {}

  onModuleInit(): void {
    this.queue.handle(CONSIDER_RUN, async (payload) => {
      await this.consider((payload as { runId: string }).runId);
    });
  }

  async rule(): Promise<AcceptanceRuleView> {
    return ruleView(await this.rules.current());
  }

  /** Sets the rule anew; what waits is looked at by it, and nothing is accepted by the one before from then on. */
  async set({ reason, ...terms }: AcceptanceRuleInput, caller: Caller): Promise<AcceptanceRuleView> {
    return this.happenings.transaction(async (tx) => {
      await this.rules.lock(tx);
      const before = await this.rules.current(tx);
      const stored = await this.rules.create(tx, (before?.version ?? 0) + 1, { ...terms, setById: caller.id });
      this.happenings.tell(tx, {
        actorId: caller.id,
        event: "set",
        subject: { kind: "acceptance-rule", id: stored.actorId },
        from: before ? stateOf(before) : null,
        to: stateOf(stored),
        rules: Object.entries(limitsOf(stored)).map(([name, value]) => `${name} ${value}`),
        reason,
      });
      if (stored.enabled) await this.rules.queueWaiting(tx);
      return ruleView(stored);
    });
  }

  /** How a run meets the rule now, for the moderators; nothing is decided by it. */
  async check(runId: string): Promise<AcceptanceCheckView> {
    return this.happenings.transaction(async (tx) => {
      const rule = await this.rules.current(tx);
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
    if (!(await this.rules.current())?.enabled) return false;
    let rule: StoredRule | null = null;
    let terms: TermOutcome[] = [];
    return this.decisions.acceptByRule(
      runId,
      async (tx) => {
        await this.rules.lock(tx);
        rule = await this.rules.current(tx);
        if (!rule?.enabled) return null;
        terms = (await this.termsOf(runId, rule, tx)) ?? [];
        if (terms.length === 0 || terms.some(({ met }) => !met)) return null;
        return { actorId: rule.actorId, reason: reasonOf(rule, terms), rules: terms.map(({ term }) => term) };
      },
      async (tx) => {
        if (rule) await this.rules.recordAcceptance(tx, runId, rule);
      },
    );
  }

  private async termsOf(runId: string, limits: AcceptanceLimits, tx: Transaction): Promise<TermOutcome[] | null> {
    const facts = await this.facts.of(runId, limits, tx);
    if (!facts) return null;
    const effects = await this.effects.of(runId, tx);
    const derived = { counts: effects.length > 0, isSampled: isSampled(runId, limits.sampleEvery), effects };
    return termsMet({ ...facts, ...derived }, limits);
  }
}

function reasonOf({ version }: StoredRule, terms: readonly TermOutcome[]): string {
  const said = terms.map(({ term, observed, limit }) => {
    return observed === null ? term : `${term} (${Number(observed.toPrecision(3))}, limit ${limit})`;
  });
  return `Accepted by the acceptance rule, version ${version}: ${said.join(", ")}.`;
}

/** JSON has no endless numbers. */
function finite(outcome: TermOutcome): TermOutcome {
  return { ...outcome, observed: Number.isFinite(outcome.observed) ? outcome.observed : null };
}

const stateOf = ({ version, enabled }: StoredRule): string => `${version}/${enabled ? "on" : "off"}`;

function limitsOf({
  moderatorAcceptances,
  cleanDays,
  accountDays,
  otherTesters,
  farthestPercent,
  mostPerDay,
  sampleEvery,
}: AcceptanceLimits): AcceptanceLimits {
  return { moderatorAcceptances, cleanDays, accountDays, otherTesters, farthestPercent, mostPerDay, sampleEvery };
}

function ruleView(rule: StoredRule | null): AcceptanceRuleView {
  if (!rule) return { ...SUGGESTED, enabled: false, version: 0, setBy: null, setAt: null };
  const { enabled, version, setBy, setAt } = rule;
  const setter = { id: setBy.id, handle: setBy.handle };
  return { ...limitsOf(rule), enabled, version, setBy: setter, setAt: setAt.toISOString() };
}

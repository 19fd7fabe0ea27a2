import { Inject, Injectable, type OnModuleInit } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { CONFIG, type Config } from "../../platform/config/config.js";
import type { Transaction } from "../../platform/database/database.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { Metrics } from "../../platform/metrics/metrics.js";
import { Notifications } from "../../platform/notifications/notifications.js";
import { Problem } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { Threads } from "../../platform/threads/threads.js";
import { WithdrawalsService } from "../runs/decisions/withdrawals.service.js";
import { CHECK_COPIES, QUEUE_COMPARISONS, RunsService } from "../runs/runs.service.js";
import { CopiesRepository, comparisonOf, type MatchRow } from "./copies.repository.js";
import type { CopiesView, CopyView } from "./copies.views.js";
import type { AgreementsWithRun, ComparisonTask, EncodedTrace, HashesOfTrace, Hint } from "./copies-thread.js";

const THREAD = { module: "src/features/copies/copies-thread.js", share: "copies", lane: "background" } as const;

/** Finds runs that are one measurement, and keeps them from being accepted until a moderator has decided. */
@Injectable()
export class CopiesService implements OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly threads: Threads,
    private readonly copiesRepository: CopiesRepository,
    private readonly runsService: RunsService,
    private readonly notifications: Notifications,
    private readonly metrics: Metrics,
    private readonly withdrawalsService: WithdrawalsService,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(CHECK_COPIES, (payload) => this.check((payload as { runId: string }).runId));
    this.jobQueue.handle(QUEUE_COMPARISONS, (payload) =>
      this.copiesRepository.queueSomeMissing((payload as { after: string | null }).after),
    );
  }

  /** Queues what an earlier version of the service has not compared. */
  queueMissing(): Promise<void> {
    return this.copiesRepository.queueMissing();
  }

  /**
   * Compares a run with all others. Its hashes are indexed before others' are queried: of two copies that come at the same time at
   * least the later one finds the other.
   */
  async check(runId: string): Promise<void> {
    const run = await this.copiesRepository.toCompare(runId);
    if (!run) return;
    const { alike, ...trace } = run;
    const hashes = await this.threads.run<EncodedTrace, HashesOfTrace>({ ...THREAD, name: "makeHashes" }, trace);
    const number = await this.copiesRepository.index(runId, hashes.index);
    const candidates = await this.copiesRepository.candidates(number, hashes.sortedQuery);
    const hints = new Map<string, Hint>(alike.map((id) => [id, { shared: null, alike: true }]));
    for (const shared of candidates) hints.set(shared.runId, { shared, alike: hints.has(shared.runId) });
    const found: AgreementsWithRun[] = [];
    for await (const traces of this.copiesRepository.tracesOf([...hints.keys()])) {
      const call = { ...THREAD, name: "compareRuns" };
      const others = traces.map((one) => ({ ...one, hint: hints.get(one.runId) as Hint }));
      const task = { runId, own: trace, query: hashes.query, others };
      found.push(...(await this.threads.run<ComparisonTask, AgreementsWithRun[]>(call, task)));
    }
    await this.copiesRepository.store(runId, found);
    this.metrics.copies.inc(found.length);
    await this.copiesRepository.queueAutoAccept(runId);
  }

  /**
   * The runs that look like one measurement with this one. Its tester is told only of runs that are public or own; all of them,
   * and who made them, are for those who review.
   */
  async list(id: string, caller: Caller): Promise<CopiesView> {
    const run = await this.runsService.visible(id, caller);
    const reviews = caller.role !== "tester";
    if (!reviews && run.testerId !== caller.id) {
      throw new Problem("role-required", "Copies of a run are for its tester and for those who review.");
    }
    const [checkedAt, matches, independent] = await Promise.all([
      this.copiesRepository.checkedAt(run.id),
      this.copiesRepository.matches(run.id),
      this.copiesRepository.judgedIndependent(run.id),
    ]);
    const counted = await this.countedAmong(matches, run.id);
    const views = matches.map((match) => copyView(match, run.id, { independent, counted }));
    const shown = matches.flatMap((match, i) => {
      const { review, testerId } = otherOf(match, run.id);
      return reviews || review === "accepted" || testerId === caller.id ? [views[i] as CopyView] : [];
    });
    return { runId: run.id, checkedAt: checkedAt?.toISOString() ?? null, copies: shown };
  }

  /** Waits a little for the comparison of a run, which follows its evaluation. */
  async awaitCheck(runId: string): Promise<void> {
    await this.notifications.watch(
      comparisonOf(runId),
      () => this.copiesRepository.checkedAt(runId),
      (checkedAt) => checkedAt !== null,
      performance.now() + this.config.waitSeconds * 1000,
    );
  }

  /**
   * @param independentOf runs that the moderator judges to be other measurements
   * @throws Problem when one of them does not look like the run at all
   */
  async requireFound(tx: Transaction, runId: string, independentOf: readonly string[]): Promise<void> {
    const found = new Set((await this.copiesRepository.matches(runId, tx)).map((match) => otherOf(match, runId).id));
    const unknown = independentOf.flatMap((id, index) => (found.has(id) ? [] : [index]));
    if (unknown.length === 0) return;
    throw invalidInput(
      unknown.map((index) => ({ pointer: `/independentOf/${index}`, message: "is no copy of the run" })),
    );
  }

  /**
   * One measurement counts once, and the one that came first is not kept waiting by a later one.
   *
   * @throws Problem when the run was not compared yet, or when another run that nobody judged to be independent holds it up
   */
  async requireDecided(tx: Transaction, runId: string, independentOf: readonly string[]): Promise<void> {
    if (!(await this.copiesRepository.checkedAt(runId, tx))) {
      throw new Problem("decision-not-possible", "The run is still being compared with the others. Try again shortly.");
    }
    const independent = await this.copiesRepository.judgedIndependent(runId, tx);
    const matches = await this.copiesRepository.matches(runId, tx);
    const counted = await this.countedAmong(matches, runId, tx);
    const open = matches
      .filter((match) => holdsUp(match, runId, counted))
      .map((match) => otherOf(match, runId).id)
      .filter((id) => !independent.has(id) && !independentOf.includes(id));
    if (open.length === 0) return;
    throw new Problem(
      "copy-undecided",
      "The run looks like the same measurement as an earlier run that is neither rejected nor withdrawn, or as one that counts. Reject one of them, accept the cause of a withdrawal, or name in `independentOf` the runs that are measurements of their own.",
      { extensions: { copies: open } },
    );
  }

  /** Those of a run's matches that were withdrawn when their figures had been seen, and go on counting. */
  private countedAmong(matches: readonly MatchRow[], runId: string, tx?: Transaction): Promise<ReadonlySet<string>> {
    const withdrawn = matches.map((match) => otherOf(match, runId)).filter(({ review }) => review === "withdrawn");
    const ids = withdrawn.map(({ id }) => id);
    return this.withdrawalsService.countedWithdrawals(ids, runId, tx);
  }
}

const otherOf = ({ earlier, later }: MatchRow, runId: string) => (earlier.id === runId ? later : earlier);

/**
 * An earlier run holds a later one up until it is rejected or withdrawn; a later one holds nothing up unless it was accepted,
 * which happens when the likeness is found afterwards. A withdrawn one that goes on counting is as good as accepted.
 */
function holdsUp(match: MatchRow, runId: string, counted: ReadonlySet<string>): boolean {
  const { id, review } = otherOf(match, runId);
  if (counted.has(id)) return true;
  return match.later.id === runId ? review !== "rejected" && review !== "withdrawn" : review === "accepted";
}

function copyView(
  match: MatchRow,
  runId: string,
  { independent, counted }: Readonly<Record<"independent" | "counted", ReadonlySet<string>>>,
): CopyView {
  const { earlier, later, foundAt } = match;
  const other = otherOf(match, runId);
  const own = other === later ? earlier : later;
  const isOther = {
    pack: other.specimen.packId !== own.specimen.packId,
    specimen: other.specimenId !== own.specimenId,
  };
  return {
    runId: other.id,
    review: other.review as CopyView["review"],
    isLater: other === later,
    otherPack: isOther.pack,
    otherSpecimen: isOther.specimen,
    otherTester: other.testerId !== own.testerId,
    judgedIndependent: independent.has(other.id),
    holdsUp: holdsUp(match, runId, counted) && !independent.has(other.id),
    foundAt: foundAt.toISOString(),
    // Earlier methods compared under one clock.
    agreements: (match.agreements as unknown as CopyView["agreements"]).map((one) => ({
      ...one,
      stretch: one.stretch ?? 1,
    })),
  };
}

import { Injectable } from "@nestjs/common";
import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { TestersService } from "../testers/testers.service.js";
import { ALL_PARTS, type WantedParts } from "./evaluation/evaluation-parts.repository.js";
import { QuestionsRepository } from "./question/questions.repository.js";
import { type RunHead, RunHeadsRepository } from "./run-heads.repository.js";
import { EVERYBODY, RunPagesRepository, type RunRef, type RunsFilter } from "./run-pages.repository.js";
import { runView } from "./run-view.js";
import { type RunRow, RunsRepository } from "./runs.repository.js";
import type { RunsArgs, RunView } from "./runs.views.js";

export { AUTO_ACCEPT_RUN, CHECK_COPIES, QUEUE_COMPARISONS } from "./jobs.js";
export { partsOfMembers } from "./wanted-parts.js";

/** Shows runs to whoever may know that they exist. */
@Injectable()
export class RunsService {
  constructor(
    private readonly runsRepository: RunsRepository,
    private readonly runHeadsRepository: RunHeadsRepository,
    private readonly runPagesRepository: RunPagesRepository,
    private readonly testersService: TestersService,
    private readonly questionsRepository: QuestionsRepository,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  async get(id: string, caller: Caller | null, wanted: WantedParts = ALL_PARTS): Promise<RunView> {
    const run = await this.runsRepository.find(idOf(id, "run"), wanted);
    if (!run || !maySee(run, caller)) throw notFound("run");
    return (await this.viewsOf([run])).get(run.id) as RunView;
  }

  /** Those of some runs that the caller may know to exist, in the order of their ids. */
  async getMany(ids: readonly string[], caller: Caller | null, wanted: WantedParts = ALL_PARTS): Promise<RunView[]> {
    const runs = (await this.runsRepository.findMany(ids, wanted)).filter((run) => maySee(run, caller));
    const views = await this.viewsOf(runs);
    return ids.flatMap((id) => views.get(id) ?? []);
  }

  /** The head of a run, if the caller may know that it exists. */
  async visible(id: string, caller: Caller | null): Promise<RunHead> {
    const run = await this.runHeadsRepository.find(idOf(id, "run"));
    if (!run || !maySee(run, caller)) throw notFound("run");
    return run;
  }

  /** A run that the caller may know to exist, with what tells whether it has changed, in one statement. */
  async ref(id: string, caller: Caller | null): Promise<RunRef> {
    const run = await this.runPagesRepository.find(idOf(id, "run"));
    if (!run || !maySee(run, caller)) throw notFound("run");
    return run;
  }

  /** Those of some runs that the caller may know to exist, in the order of their ids, with what tells whether they have changed. */
  async refs(ids: readonly string[], caller: Caller | null): Promise<RunRef[]> {
    const found = new Map((await this.runPagesRepository.findMany(ids)).map((run) => [run.id, run]));
    return ids.flatMap((id) => {
      const run = found.get(id);
      return run && maySee(run, caller) ? [run] : [];
    });
  }

  /** Which runs a page of a list shows, newest first, in one statement. */
  async page(args: RunsArgs, caller: Caller | null): Promise<Page<RunRef>> {
    const filter = await this.filterOf(args, caller);
    return readPage(args, {
      name: "runs",
      filters: { ...filter },
      keys: ["uuid"],
      read: (window) => this.runPagesRepository.list(filter, window),
      count: () => this.runPagesRepository.count(filter),
      keyOf: ({ id }) => [id],
    });
  }

  /** The runs of a page. */
  async shown(page: Page<RunRef>, wanted: WantedParts = ALL_PARTS): Promise<Page<RunView>> {
    const ids = page.items.map(({ id }) => id);
    const runs = await this.viewsOf(await this.runsRepository.findMany(ids, wanted));
    return mapPage(page, ({ id }) => runs.get(id) as RunView);
  }

  private async viewsOf(runs: readonly RunRow[]): Promise<ReadonlyMap<string, RunView>> {
    const asked = runs.filter(({ review }) => review === "info-requested").map(({ id }) => id);
    const questions = await this.questionsRepository.openOf(asked);
    return new Map(runs.map((run) => [run.id, runView(run, questions.get(run.id) ?? null)]));
  }

  /** @throws Problem not-found, as rankings do, for a key that no protocol has: a misspelt one would else be a list without runs */
  private async knownProtocol(key: string): Promise<string> {
    if (!(await this.activeVersionService.find(key))) throw notFound("protocol");
    return key;
  }

  private async filterOf(args: RunsArgs, caller: Caller | null): Promise<RunsFilter> {
    const { mine, tester, packId, specimenId, protocol, verdict, review, state } = args;
    if (mine && !caller) throw new Problem("session-required", "Open a session to see your own runs.");
    const isPublic = !mine && !state && (!review || review === "accepted");
    const seen = caller && caller.role !== "tester" ? EVERYBODY : (caller?.id ?? null);
    const named = tester ? ((await this.testersService.idOf(tester)) ?? NOBODY) : null;
    return {
      packId: packId ? idOf(packId, "pack") : null,
      specimenId: specimenId ? idOf(specimenId, "specimen") : null,
      // Of two testers that are asked for at once nobody has runs.
      testerId: mine && caller ? (named && named !== caller.id ? NOBODY : caller.id) : named,
      protocol: protocol ? await this.knownProtocol(protocol) : null,
      verdict: verdict ?? null,
      review: review && review !== "accepted" ? review : null,
      state: state ?? null,
      startedFrom: instant(args.startedFrom),
      startedTo: instant(args.startedTo),
      uploadedFrom: instant(args.uploadedFrom),
      uploadedTo: instant(args.uploadedTo),
      shownTo: isPublic || review === "accepted" ? null : seen,
    };
  }

  /** The accepted run of a pack whose figure under a standard load is nearest to a value. */
  typicalRun(
    packId: string,
    protocolKey: string,
    figure: string,
    { load, value }: { readonly load: number; readonly value: number },
  ): Promise<string | null> {
    return this.runsRepository.nearestAccepted(packId, protocolKey, figure, { load, value });
  }

  /** Ids of runs of others that were evaluated and are in a review state, oldest first. */
  listForReview(review: ReviewState, args: PageArgs, caller: Caller): Promise<Page<{ readonly id: string }>> {
    return readPage(args, {
      name: "reviews",
      filters: { review, notBy: caller.id },
      keys: ["uuid"],
      read: (window) => this.runsRepository.listForReview(review, caller.id, window),
      count: () => this.countForReview(review, caller),
      keyOf: ({ id }) => [id],
    });
  }

  countForReview(review: ReviewState, caller: Caller): Promise<number> {
    return this.runsRepository.countForReview(review, caller.id);
  }

  /** The run made in place of a run, and those in whose place it was made. */
  async replacements(id: string, caller: Caller): Promise<{ replacement: RunView | null; replaces: RunView[] }> {
    const { replacedById } = await this.visible(id, caller);
    const replaces = await this.getMany(await this.runHeadsRepository.replacedBy(id), caller);
    return { replacement: replacedById ? await this.get(replacedById, caller) : null, replaces };
  }
}

/** Id of no account. */
const NOBODY = "00000000-0000-0000-0000-000000000000";

const instant = (text: string | null | undefined): string | null => (text ? new Date(text).toISOString() : null);

/** Accepted runs are public; the others are for their tester and those who review. */
export function maySee(run: { readonly review: string; readonly testerId: string }, caller: Caller | null): boolean {
  return run.review === "accepted" || run.testerId === caller?.id || (caller !== null && caller.role !== "tester");
}

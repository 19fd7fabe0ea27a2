import { Injectable } from "@nestjs/common";
import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/uuid.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { ALL_PARTS, type WantedParts } from "./evaluation/evaluation-parts.repository.js";
import { type RunHead, RunHeadsRepository } from "./run-heads.repository.js";
import { runView } from "./run-view.js";
import { RunsRepository } from "./runs.repository.js";
import type { RunsArgs, RunView } from "./runs.views.js";

export type { WantedParts } from "./evaluation/evaluation-parts.repository.js";
export { AUTO_ACCEPT_RUN, CHECK_COPIES } from "./jobs.js";
export { wantedParts } from "./wanted-parts.js";

/** Shows runs to whoever may know that they exist. */
@Injectable()
export class RunsService {
  constructor(
    private readonly runsRepository: RunsRepository,
    private readonly runHeadsRepository: RunHeadsRepository,
  ) {}

  async get(id: string, caller: Caller | null, wanted: WantedParts = ALL_PARTS): Promise<RunView> {
    const run = await this.runsRepository.find(idOf(id, "run"), wanted);
    if (!run || !maySee(run, caller)) throw notFound("run");
    return runView(run);
  }

  /** Those of some runs that the caller may know to exist, in the order of their ids. */
  async getMany(ids: readonly string[], caller: Caller | null, wanted: WantedParts = ALL_PARTS): Promise<RunView[]> {
    const runs = new Map((await this.runsRepository.findMany(ids, wanted)).map((run) => [run.id, run]));
    return ids.flatMap((id) => {
      const run = runs.get(id);
      return run && maySee(run, caller) ? [runView(run)] : [];
    });
  }

  /** The head of a run, if the caller may know that it exists. */
  async visible(id: string, caller: Caller | null): Promise<RunHead> {
    const run = await this.runHeadsRepository.find(idOf(id, "run"));
    if (!run || !maySee(run, caller)) throw notFound("run");
    return run;
  }

  async list(args: RunsArgs, caller: Caller | null, wanted: WantedParts = ALL_PARTS): Promise<Page<RunView>> {
    if (args.mine && !caller) throw new Problem("session-required", "Open a session to see your own runs.");
    const filter = {
      packId: args.packId ? idOf(args.packId, "pack") : null,
      testerId: args.mine && caller ? caller.id : null,
    };
    const page = await readPage(args, {
      name: "runs",
      filters: { ...filter },
      keys: ["uuid"],
      read: (window) => this.runsRepository.list(filter, window, wanted),
      count: () => this.runsRepository.count(filter),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, runView);
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

  /** Runs of others that were evaluated and are in a review state, oldest first. */
  async listForReview(
    review: ReviewState,
    args: PageArgs,
    caller: Caller,
    wanted: WantedParts = ALL_PARTS,
  ): Promise<Page<RunView>> {
    const page = await readPage(args, {
      name: "reviews",
      filters: { review, notBy: caller.id },
      keys: ["uuid"],
      read: (window) => this.runsRepository.listForReview(review, caller.id, window, wanted),
      count: () => this.countForReview(review, caller),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, runView);
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

/** Accepted runs are public; the others are for their tester and those who review. */
function maySee(run: { readonly review: string; readonly testerId: string }, caller: Caller | null): boolean {
  return run.review === "accepted" || run.testerId === caller?.id || (caller !== null && caller.role !== "tester");
}

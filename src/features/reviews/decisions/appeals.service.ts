import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import type { Transaction } from "../../../platform/database/database.js";
import { notFound, Problem } from "../../../platform/problems/problem.js";
import { NoticeWriter } from "../../notices/notice-writer.service.js";
import { RunsService } from "../../runs/runs.service.js";
import { AppealsRepository, type OpenAppeal } from "./appeals.repository.js";
import type { AppealView } from "./appeals.views.js";
import { type Arbiter, InterestsRepository } from "./interests.repository.js";

/** Appeals against rejections: another moderator decides, an administrator where there is none, or the appeal waits. */
@Injectable()
export class AppealsService {
  constructor(
    private readonly appealsRepository: AppealsRepository,
    private readonly interestsRepository: InterestsRepository,
    private readonly runsService: RunsService,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  /** The open appeal of a run, for its tester and for those who review; null when there is none. */
  async of(runId: string, caller: Caller): Promise<AppealView | null> {
    const run = await this.runsService.visible(runId, caller);
    if (run.testerId !== caller.id && caller.role === "tester") throw notFound("run");
    return (await this.viewsOf([run.id])).get(run.id) ?? null;
  }

  /** By run; runs without an open appeal are left out. */
  async viewsOf(runIds: readonly string[]): Promise<Map<string, AppealView>> {
    const open = await this.appealsRepository.openOf(runIds);
    const views = new Map<string, AppealView>();
    for (const appeal of open.values()) {
      const waitsFor = await this.interestsRepository.arbiterOf(appeal.runId, appeal.rejectedById);
      views.set(appeal.runId, appealView(appeal, waitsFor));
    }
    return views;
  }

  /** @throws Problem for whoever made the rejection that the tester appeals against */
  async requireAnother(runId: string, caller: Caller): Promise<void> {
    const appeal = (await this.appealsRepository.openOf([runId])).get(runId);
    if (appeal?.rejectedById !== caller.id) return;
    const waitsFor = await this.interestsRepository.arbiterOf(runId, caller.id);
    throw new Problem("role-required", `You rejected this run. ${SENTENCES[waitsFor]}`);
  }

  /** Administrators are told of an appeal that no moderator can decide on. */
  async tellAdministrators(tx: Transaction, runId: string, rejectedById: string | null): Promise<void> {
    const waitsFor = await this.interestsRepository.arbiterOf(runId, rejectedById, tx);
    if (waitsFor === "moderator") return;
    const accounts = await this.appealsRepository.administrators(tx);
    await this.noticeWriter.tell(
      tx,
      accounts.map((accountId) => ({ kind: "appeal-waits", accountId, subjectId: runId, facts: { to: waitsFor } })),
    );
  }
}

const SENTENCES: Readonly<Record<Arbiter, string>> = {
  moderator: "Another moderator decides on the appeal.",
  administrator: "An administrator decides on the appeal: there is no other moderator without a conflict of interest.",
  nobody: "The appeal waits: there is no other moderator or administrator. An administrator can appoint a moderator.",
};

function appealView({ runId, since, note, rejectedById, rejectedBy }: OpenAppeal, waitsFor: Arbiter): AppealView {
  return {
    runId,
    since: since.toISOString(),
    note,
    rejectedBy: rejectedById && rejectedBy ? { id: rejectedById, handle: rejectedBy } : null,
    waitsFor,
    message: SENTENCES[waitsFor],
  };
}

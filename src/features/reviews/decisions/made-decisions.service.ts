import { Injectable } from "@nestjs/common";
import type { Decision, ReviewState } from "../../../core/lifecycle/run-lifecycle.js";
import type { Caller } from "../../../platform/auth/account.js";
import { mapPage, type Page, readPage } from "../../../platform/paging/page.js";
import { notFound } from "../../../platform/problems/problem.js";
import { TestersService } from "../../testers/testers.service.js";
import { type MadeDecisionRow, MadeDecisionsRepository } from "./made-decisions.repository.js";
import type { MadeDecisionsArgs, MadeDecisionView } from "./made-decisions.views.js";

/** Lists what moderators have decided. */
@Injectable()
export class MadeDecisionsService {
  constructor(
    private readonly madeDecisionsRepository: MadeDecisionsRepository,
    private readonly testersService: TestersService,
  ) {}

  async list({ moderator, decision, ...args }: MadeDecisionsArgs, caller: Caller): Promise<Page<MadeDecisionView>> {
    const moderatorId = moderator ? await this.testersService.idOf(moderator) : caller.id;
    if (!moderatorId) throw notFound("account");
    const filter = { moderatorId, decision: decision ?? null };
    const page = await readPage(args, {
      name: "decisions",
      filters: filter,
      keys: ["uuid"],
      read: (window) => this.madeDecisionsRepository.list(filter, window),
      count: () => this.madeDecisionsRepository.count(filter),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, viewOf);
  }
}

function viewOf({ testerId, tester, moderatorId, moderator, ...row }: MadeDecisionRow): MadeDecisionView {
  return {
    ...row,
    tester: { id: testerId, handle: tester },
    moderator: { id: moderatorId, handle: moderator },
    decision: row.decision as Decision,
    createdAt: row.createdAt.toISOString(),
    review: row.review as ReviewState,
  };
}

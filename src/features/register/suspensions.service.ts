import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { ConflictsService } from "../conflicts/conflicts.service.js";
import { NoticeWriter } from "../notices/notice-writer.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { type AccountToSuspend, RegisterRepository } from "./register.repository.js";
import type { SuspensionView } from "./register.views.js";

/** Suspends accounts: their runs leave the standings, and nothing is deleted. */
@Injectable()
export class SuspensionsService {
  constructor(
    private readonly registerRepository: RegisterRepository,
    private readonly standingsService: StandingsService,
    private readonly conflictsService: ConflictsService,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  suspend(handle: string, reason: string, caller: Caller): Promise<SuspensionView> {
    return this.set(handle, new Date(), reason, caller);
  }

  lift(handle: string, reason: string | null, caller: Caller): Promise<SuspensionView> {
    return this.set(handle, null, reason, caller);
  }

  private set(handle: string, at: Date | null, reason: string | null, caller: Caller): Promise<SuspensionView> {
    return this.registerRepository.transaction(async (tx) => {
      const account = await this.registerRepository.lockAccount(tx, handle);
      if (!account) throw notFound("account");
      requireBelow(account, caller);
      await this.conflictsService.requireNoStake(tx, caller, { testerId: account.id });
      const isChange = (account.suspendedAt === null) !== (at === null);
      if (!isChange) return viewOf(account);
      const { notice, ...words } = at ? SUSPENDED : LIFTED;
      await this.registerRepository.setSuspended(tx, account.id, at, { actorId: caller.id, ...words, reason });
      const reasonOf = { kind: "account", id: account.id, event: words.event } as const;
      await this.noticeWriter.tell(tx, [{ kind: notice, accountId: account.id, subjectId: account.id, reasonOf }]);
      await this.standingsService.refreshAll(tx, await this.registerRepository.packsOf(tx, account.id));
      return viewOf({ ...account, suspendedAt: at });
    });
  }
}

const SUSPENDED = { event: "suspend", from: "active", to: "suspended", notice: "account-suspended" } as const;
const LIFTED = { event: "lift-suspension", from: "suspended", to: "active", notice: "suspension-lifted" } as const;

/** Moderators suspend testers, administrators everybody else too; nobody themselves. */
function requireBelow({ id, role }: AccountToSuspend, caller: Caller): void {
  if (id === caller.id) throw new Problem("role-required", "Nobody suspends themselves.");
  if (role === "tester" || caller.role === "administrator") return;
  throw new Problem("role-required", "Only an administrator suspends a moderator or an administrator.");
}

function viewOf({ handle, suspendedAt }: AccountToSuspend): SuspensionView {
  return { handle, suspendedAt: suspendedAt?.toISOString() ?? null };
}

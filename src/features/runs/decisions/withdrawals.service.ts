import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import type { Transaction } from "../../../platform/database/database.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { ConflictsService } from "../../conflicts/conflicts.service.js";
import { NoticeWriter } from "../../notices/notice-writer.service.js";
import { StandingsService } from "../../rankings/standings.service.js";
import { OutdatedRunsRepository } from "../evaluation/outdated-runs.repository.js";
import { RunMovesRepository } from "../moves/run-moves.repository.js";
import { referenced } from "../referenced.js";
import type { RunHead } from "../run-heads.repository.js";
import { RunsService } from "../runs.service.js";
import type { RunView } from "../runs.views.js";
import { RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import { DecisionsRepository } from "./decisions.repository.js";
import { notPossible } from "./not-possible.js";

/** Withdraws and replaces runs, and accepts the causes of withdrawals; standings are refreshed in the same transaction. */
@Injectable()
export class WithdrawalsService {
  constructor(
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly decisionsRepository: DecisionsRepository,
    private readonly runsService: RunsService,
    private readonly standingsService: StandingsService,
    private readonly conflictsService: ConflictsService,
    private readonly noticeWriter: NoticeWriter,
    private readonly runMovesRepository: RunMovesRepository,
    private readonly outdatedRunsRepository: OutdatedRunsRepository,
  ) {}

  /**
   * Its tester withdraws it. It stays in the record, and in its tester's means where its figures were seen: of the pack that it was of then,
   * unless a moderator has accepted or moved it since.
   */
  async withdraw(id: string, caller: Caller): Promise<void> {
    const run = await this.runsService.visible(id, caller);
    if (run.testerId !== caller.id) throw new Problem("role-required", "Only its tester may withdraw a run.");
    await this.runTransitionsRepository.transaction(async (tx) => {
      const head = await this.runTransitionsRepository.lock(tx, run.id);
      if (!head) return;
      const packIds = await this.putBack(tx, head);
      await this.decisionsRepository.withdraw(tx, head.id);
      for (const packId of packIds) {
        await this.standingsService.refresh(tx, packId, head.protocolKey, head.testerId);
      }
    });
  }

  /**
   * Puts a run that is to be withdrawn back to the specimen that it was of when its tester moved it away, its figures having been seen: a move
   * takes nothing out of a mean that a withdrawal would leave there.
   *
   * @returns the packs that it is of and was of, locked where these are two
   */
  private async putBack(tx: Transaction, { id, state, testerId, packId, ...status }: RunHead): Promise<string[]> {
    const place = state === "processed" ? await this.runMovesRepository.placeWhenSeen(tx, id, testerId) : null;
    const from = await this.runMovesRepository.specimenOf(tx, id);
    if (!place || place.specimenId === from) return [packId];
    const packIds = [...new Set([packId, place.packId])];
    await this.standingsService.lockVersions(tx);
    await this.standingsService.lockPacks(tx, packIds);
    await this.runMovesRepository.move(tx, id, place.specimenId);
    const reason = `From specimen ${from} of pack ${packId} to specimen ${place.specimenId} of pack ${place.packId}. It is withdrawn where its figures were seen.`;
    const as = { ...status, state };
    this.runTransitionsRepository.record(tx, id, "move", { actorId: null, reason }, as, as);
    if (packIds.length > 1) await this.outdatedRunsRepository.mark(tx, id);
    return packIds;
  }

  /** A moderator accepts why a run was withdrawn when its figures had been seen: it leaves its tester's means. */
  async excuseWithdrawal(id: string, note: string, caller: Caller): Promise<RunView> {
    const run = await this.runsService.visible(id, caller);
    if (run.testerId === caller.id) throw new Problem("role-required", "You cannot excuse a withdrawal of your own.");
    await this.runTransitionsRepository.transaction(async (tx) => {
      const head = await this.runTransitionsRepository.lock(tx, run.id);
      await this.conflictsService.requireNoStake(tx, caller, { runId: run.id });
      if (!head || !(await this.decisionsRepository.excuseWithdrawal(tx, run.id, caller.id))) {
        throw new Problem(
          "decision-not-possible",
          "Only a run that was withdrawn when its figures had been seen is excused, and once.",
        );
      }
      const by = { actorId: caller.id, reason: note };
      this.runTransitionsRepository.record(tx, run.id, "excuse-withdrawal", by, head, head);
      const reasonOf = { kind: "run", id: run.id, event: "excuse-withdrawal" } as const;
      await this.noticeWriter.tell(tx, [
        { kind: "withdrawal-excused", accountId: run.testerId, subjectId: run.id, reasonOf },
      ]);
      await this.standingsService.refresh(tx, run.packId, run.protocolKey, run.testerId);
    });
    return this.runsService.get(run.id, caller);
  }

  /**
   * The tester answers what was asked about a run with another one: the old run is withdrawn, and both stand side by side in the
   * evidence of the new one. The old one leaves its tester's means when a moderator accepts the new one after that; where it was accepted
   * before, the old one stays in them as any run that was withdrawn when seen.
   */
  async replace(id: string, replacementId: string, reason: string, caller: Caller): Promise<RunView> {
    const run = await this.runsService.visible(id, caller);
    if (run.testerId !== caller.id) throw new Problem("role-required", "Only its tester may do this.");
    const other = await referenced("/replacedBy", this.runsService.visible(replacementId, caller));
    const fits =
      other.testerId === caller.id &&
      other.id > run.id &&
      other.packId === run.packId &&
      other.protocolKey === run.protocolKey;
    if (!fits) throw notInPlace("must be a later run of yours, of the same pack under the same protocol");
    await this.runTransitionsRepository.transaction(async (tx) => {
      // The older one is locked first, whoever else locks both.
      const withdrawn = await this.decisionsRepository.withdraw(tx, run.id, "replace", {
        reason,
        replacedById: other.id,
      });
      if (!withdrawn) throw notPossible(`${run.state} and ${run.review}`);
      const head = await this.runTransitionsRepository.lock(tx, other.id);
      if (!head || !MAY_STAND_IN.has(head.review)) throw notInPlace("was rejected or withdrawn");
      this.decisionsRepository.recordReplacement(tx, head, run.id);
      await this.standingsService.refresh(tx, run.packId, run.protocolKey, run.testerId);
    });
    return this.runsService.get(run.id, caller);
  }

  /** Those of some withdrawn runs that go on counting, and hold a run up that is to be accepted as if they were accepted. */
  countedWithdrawals(runIds: readonly string[], runId: string, tx?: Transaction): Promise<ReadonlySet<string>> {
    return this.decisionsRepository.countedWithdrawals(runIds, runId, tx);
  }
}

const MAY_STAND_IN: ReadonlySet<string> = new Set(["pending", "info-requested", "accepted"]);

function notInPlace(message: string): Problem {
  return invalidInput([{ pointer: "/replacedBy", message }]);
}

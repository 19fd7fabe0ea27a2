import { Injectable } from "@nestjs/common";
import {
  after,
  type Decision,
  type Reply,
  type ReviewState,
  type RunStatus,
  type Undoing,
} from "../../../core/lifecycle/run-lifecycle.js";
import { blockingRules } from "../../../core/protocol/conformance.js";
import type { AuditEvent } from "../../../platform/audit-log/audit-log.js";
import type { Caller } from "../../../platform/auth/account.js";
import type { Transaction } from "../../../platform/database/database.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { ConflictsService } from "../../conflicts/conflicts.service.js";
import { type NewNotice, NoticeWriter } from "../../notices/notice-writer.service.js";
import { ActiveVersionService } from "../../protocols/active-version.service.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { StandingsService } from "../../rankings/standings.service.js";
import { OpenRoundsService } from "../../sealed-rounds/open-rounds.service.js";
import { OutdatedRunsRepository } from "../evaluation/outdated-runs.repository.js";
import { RunMovesRepository } from "../moves/run-moves.repository.js";
import { referenced } from "../referenced.js";
import type { RunHead } from "../run-heads.repository.js";
import { RunsService } from "../runs.service.js";
import type { RunView } from "../runs.views.js";
import { noticeOf } from "../transitions/notice-of.js";
import { type Actor, RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import { DecisionsRepository } from "./decisions.repository.js";

/** Decides on runs, revokes acceptances, withdraws and replaces runs; standings are refreshed in the same transaction. */
@Injectable()
export class DecisionsService {
  constructor(
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly decisionsRepository: DecisionsRepository,
    private readonly runsService: RunsService,
    private readonly protocolsService: ProtocolsService,
    private readonly standingsService: StandingsService,
    private readonly activeVersionService: ActiveVersionService,
    private readonly openRoundsService: OpenRoundsService,
    private readonly conflictsService: ConflictsService,
    private readonly noticeWriter: NoticeWriter,
    private readonly runMovesRepository: RunMovesRepository,
    private readonly outdatedRunsRepository: OutdatedRunsRepository,
  ) {}

  /** Makes a decision, takes one back or hears a reply, with what is recorded of it and what follows for the ranking, all or nothing. */
  async decide<T>(
    { id, state, review, conformance, protocol }: RunView,
    event: Decision | Reply | Undoing,
    by: Actor,
    record: (tx: Transaction, before: ReviewState) => Promise<T>,
  ): Promise<{ review: ReviewState; result: T }> {
    const { rules } = await this.protocolsService.document(protocol.key, protocol.version);
    const blocking = blockingRules(conformance?.findings ?? [], rules);
    return this.runTransitionsRepository.transaction(async (tx) => {
      const before = await this.runTransitionsRepository.lock(tx, id);
      if (before?.review !== review) throw notPossible(`${state} and ${before?.review} by now`);
      if (event === "accept" || event === "undo-to-accepted") {
        requireConforming(before, blocking);
        await this.requireCounting(tx, before);
        if (await this.decisionsRepository.isOutdated(tx, id)) throw notEvaluatedAnew();
        await this.standingsService.lockPack(tx, before.packId, before.protocolKey);
        await this.openRoundsService.requireNone(tx, [before.packId], "accept its runs");
        const twin = await this.decisionsRepository.countedTwin(tx, id);
        if (twin) throw countsAlready(twin);
      }
      const head = await this.runTransitionsRepository.move(tx, id, event, by);
      if (!head) throw notPossible(`${state} and ${review}`);
      if (event === "accept" && by.actorId) await this.decisionsRepository.excuseReplaced(tx, id, by.actorId);
      const result = await record(tx, review);
      await this.standingsService.refresh(tx, head.packId, head.protocolKey, head.testerId);
      return { review: head.review, result };
    });
  }

  /**
   * Accepts a run by a rule of the service, with what is recorded of it and what follows for the ranking, all or nothing.
   *
   * @param guard under the run's lock: who accepts it and why, or null when it is not to be accepted
   */
  async acceptByRule(
    id: string,
    guard: (tx: Transaction) => Promise<Actor | null>,
    record: (tx: Transaction) => Promise<void>,
  ): Promise<boolean> {
    return this.runTransitionsRepository.transaction(async (tx) => {
      const before = await this.runTransitionsRepository.lock(tx, id);
      if (before?.review !== "pending" || before.verdict === "nonconforming") return false;
      if ((await this.countsInstead(tx, before)) !== null) return false;
      if (await this.decisionsRepository.isOutdated(tx, id)) return false;
      await this.standingsService.lockPack(tx, before.packId, before.protocolKey);
      if (await this.openRoundsService.openUntil(tx, before.packId)) return false;
      const by = await guard(tx);
      const head =
        by &&
        !(await this.decisionsRepository.countedTwin(tx, id)) &&
        (await this.runTransitionsRepository.move(tx, id, "accept", by));
      if (!head) return false;
      await record(tx);
      await this.standingsService.refresh(tx, head.packId, head.protocolKey, head.testerId);
      return true;
    });
  }

  /**
   * What an acceptance would do: it is made, read and undone, so that it is what would really happen.
   *
   * @param read what is wanted of the state after it
   * @returns null where the run cannot be accepted as it is
   */
  async asIfAccepted<T>(id: string, read: (tx: Transaction) => Promise<T>): Promise<T | null> {
    const trial = this.runTransitionsRepository.transaction(async (tx) => {
      const before = await this.runTransitionsRepository.lock(tx, id);
      if (!before || before.verdict === "nonconforming") return;
      if ((await this.countsInstead(tx, before)) !== null || (await this.decisionsRepository.isOutdated(tx, id)))
        return;
      if (await this.openRoundsService.openUntil(tx, before.packId)) return;
      if (await this.decisionsRepository.countedTwin(tx, id)) return;
      const head = await this.runTransitionsRepository.move(tx, id, "accept", { actorId: null });
      if (!head) return;
      await this.standingsService.refresh(tx, head.packId, head.protocolKey, head.testerId);
      throw new Undone(await read(tx));
    });
    try {
      await trial;
      return null;
    } catch (error) {
      if (error instanceof Undone) return error.found as T;
      throw error;
    }
  }

  /**
   * Revokes the acceptance of a run that does not conform, or could not be evaluated, under the version that becomes active:
   * it is pending again.
   */
  async revokeAcceptance(
    tx: Transaction,
    id: string,
    evaluationId: string | null,
    by: Pick<Actor, "reason" | "rules">,
  ): Promise<void> {
    const more = evaluationId ? { currentEvaluationId: evaluationId } : {};
    await this.runTransitionsRepository.move(tx, id, "revoke-acceptance", { actorId: null, ...by }, more);
  }

  /** What the audit log is told of an acceptance that was revoked together with many others. */
  revocation(id: string, by: Pick<Actor, "reason" | "rules">): AuditEvent {
    return this.runTransitionsRepository.eventOf(id, "revoke-acceptance", { actorId: null, ...by }, ACCEPTED, REVOKED);
  }

  /** What its tester is told of it. */
  noticeOfRevocation(id: string, testerId: string, rules: readonly string[]): NewNotice {
    const [notice] = noticeOf({ ...ACCEPTED, id, testerId }, "revoke-acceptance", { rules }, REVOKED);
    if (!notice) throw new Error("testers are told of every revocation");
    return notice;
  }

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

  /** Those of some withdrawn runs that go on counting, and hold a run up that is to be accepted as if they were accepted. */
  countedWithdrawals(runIds: readonly string[], runId: string, tx?: Transaction): Promise<ReadonlySet<string>> {
    return this.decisionsRepository.countedWithdrawals(runIds, runId, tx);
  }

  /** A run that was not evaluated under the active version, or a newer one, could be accepted and never enter a standing. */
  private async requireCounting(tx: Transaction, head: RunHead): Promise<void> {
    const version = await this.countsInstead(tx, head);
    if (version === null) return;
    throw new Problem(
      "decision-not-possible",
      `The run could not be evaluated under version ${version} of its protocol, which counts now. Reject it, or ask its tester.`,
    );
  }

  /** The version that counts, when the run was evaluated under something older; null when it may count. */
  private async countsInstead(tx: Transaction, { protocolKey, evaluatedUnder }: RunHead): Promise<number | null> {
    const { protocol, computationVersion } = await this.activeVersionService.lockShared(tx, protocolKey);
    const isOld =
      !evaluatedUnder ||
      evaluatedUnder.version < protocol.version ||
      Number(evaluatedUnder.computationVersion) < Number(computationVersion);
    return isOld ? protocol.version : null;
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
}

const ACCEPTED: RunStatus = { state: "processed", review: "accepted", appealed: false };
const REVOKED = after(ACCEPTED, "revoke-acceptance") as RunStatus;

/** Undoes a trial, with what was found by it. */
class Undone extends Error {
  constructor(readonly found: unknown) {
    super("the trial is undone");
  }
}

const MAY_STAND_IN: ReadonlySet<string> = new Set(["pending", "info-requested", "accepted"]);

function notInPlace(message: string): Problem {
  return invalidInput([{ pointer: "/replacedBy", message }]);
}

function notPossible(status: string): Problem {
  return new Problem("decision-not-possible", `The run is ${status}; this cannot be done with it now.`);
}

function notEvaluatedAnew(): Problem {
  return new Problem("decision-not-possible", "The run's pack has changed: wait until it is evaluated anew.");
}

function countsAlready({ id, review }: { readonly id: string; readonly review: string }): Problem {
  const detail =
    review === "accepted"
      ? "An accepted run has the very same log: one measurement counts once. Reject this one."
      : "A withdrawn run with the very same log still counts for its tester: one measurement counts once. Reject this one, or accept the cause of that withdrawal first.";
  return new Problem("decision-not-possible", detail, { extensions: { existingId: id } });
}

/** What does not conform is never accepted; judged under the run's lock, by the evaluation that is current then. */
function requireConforming(head: RunHead | null, rules: readonly string[]): void {
  if (head?.verdict !== "nonconforming") return;
  throw new Problem(
    "run-not-conforming",
    "A run that does not conform cannot be accepted: reject it, or ask its tester.",
    {
      extensions: { rules },
    },
  );
}

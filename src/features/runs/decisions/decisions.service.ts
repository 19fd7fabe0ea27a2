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
import type { Transaction } from "../../../platform/database/database.js";
import { Problem } from "../../../platform/problems/problem.js";
import type { NewNotice } from "../../notices/notice-writer.service.js";
import { ActiveVersionService } from "../../protocols/active-version.service.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { StandingsService } from "../../rankings/standings.service.js";
import { OpenRoundsService } from "../../sealed-rounds/open-rounds.service.js";
import type { RunHead } from "../run-heads.repository.js";
import type { RunView } from "../runs.views.js";
import { noticeOf } from "../transitions/notice-of.js";
import { type Actor, RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import { DecisionsRepository } from "./decisions.repository.js";
import { notPossible } from "./not-possible.js";

/** Decides on runs and revokes acceptances; standings are refreshed in the same transaction. */
@Injectable()
export class DecisionsService {
  constructor(
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly decisionsRepository: DecisionsRepository,
    private readonly protocolsService: ProtocolsService,
    private readonly standingsService: StandingsService,
    private readonly activeVersionService: ActiveVersionService,
    private readonly openRoundsService: OpenRoundsService,
  ) {}

  /**
   * Makes a decision, takes one back or hears a reply, with what is recorded of it and what follows for the ranking, all or nothing.
   *
   * @param run as it was when this was asked for
   * @param seenEvaluationId the evaluation that it rests on; left out where it rests on none
   */
  async decide<T>(
    { id, state, review, pack, conformance, protocol }: RunView,
    event: Decision | Reply | Undoing,
    by: Actor,
    record: (tx: Transaction, before: ReviewState) => Promise<T>,
    seenEvaluationId: string | null = null,
  ): Promise<{ review: ReviewState; result: T }> {
    const { rules } = await this.protocolsService.document(protocol.key, protocol.version);
    const blocking = blockingRules(conformance?.findings ?? [], rules);
    return this.runTransitionsRepository.transaction(async (tx) => {
      const before = await this.runTransitionsRepository.lock(tx, id);
      if (before?.review !== review) throw notPossible(`${state} and ${before?.review} by now`);
      if (before.packId !== pack.id) throw notPossible("of another pack by now");
      await this.requireSeen(tx, id, seenEvaluationId);
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
   * Holds a run until the transaction ends as what its evidence was.
   *
   * @param seenId the evaluation that the evidence was of; null where none is named
   * @throws Problem where the run has been moved or evaluated anew since, or is about to be
   */
  async requireSeen(tx: Transaction, runId: string, seenId: string | null = null): Promise<void> {
    if (seenId === null) return;
    const head = await this.runTransitionsRepository.lock(tx, runId);
    const isCurrent = head?.currentEvaluationId === seenId.toLowerCase();
    if (isCurrent && !(await this.decisionsRepository.isOutdated(tx, runId))) return;
    throw new Problem(
      "decision-not-possible",
      "The run has been moved or evaluated anew since that evaluation. Read its evidence again, and decide on that.",
    );
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
}

const ACCEPTED: RunStatus = { state: "processed", review: "accepted", appealed: false };
const REVOKED = after(ACCEPTED, "revoke-acceptance") as RunStatus;

/** Undoes a trial, with what was found by it. */
class Undone extends Error {
  constructor(readonly found: unknown) {
    super("the trial is undone");
  }
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

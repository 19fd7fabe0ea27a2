import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import type { Transaction } from "../../../platform/database/database.js";
import { isDuplicate } from "../../../platform/database/errors.js";
import { isUuid } from "../../../platform/database/rows/uuid.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { ConflictsService } from "../../conflicts/conflicts.service.js";
import { NoticeWriter } from "../../notices/notice-writer.service.js";
import { PacksService } from "../../packs/packs.service.js";
import { StandingsService } from "../../rankings/standings.service.js";
import { OpenRoundsService } from "../../sealed-rounds/open-rounds.service.js";
import { SpecimensService } from "../../specimens/specimens.service.js";
import { OutdatedRunsRepository } from "../evaluation/outdated-runs.repository.js";
import { referenced } from "../referenced.js";
import type { RunHead } from "../run-heads.repository.js";
import { RunsService } from "../runs.service.js";
import type { RunView } from "../runs.views.js";
import { RunTransitionsRepository } from "../transitions/run-transitions.repository.js";
import { RunMovesRepository } from "./run-moves.repository.js";
import type { RunMoveInput } from "./run-moves.views.js";

/** Puts runs right that were filed under the wrong specimen or pack. */
@Injectable()
export class RunMovesService {
  constructor(
    private readonly runMovesRepository: RunMovesRepository,
    private readonly runsService: RunsService,
    private readonly packsService: PacksService,
    private readonly specimensService: SpecimensService,
    private readonly runTransitionsRepository: RunTransitionsRepository,
    private readonly outdatedRunsRepository: OutdatedRunsRepository,
    private readonly standingsService: StandingsService,
    private readonly openRoundsService: OpenRoundsService,
    private readonly conflictsService: ConflictsService,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  /**
   * Moves a run: its tester until it is accepted, a moderator after. It leaves the standings of its old pack at once and enters those of
   * the new one when it has been evaluated anew.
   */
  async move(id: string, { specimenId, packId, note }: RunMoveInput, caller: Caller): Promise<RunView> {
    const run = await this.runsService.visible(id, caller);
    requireMayMove(run, caller);
    if ((specimenId == null) === (packId == null)) {
      throw invalidInput([{ pointer: "/specimenId", message: "must be given, or packId, and not both" }]);
    }
    const target = specimenId == null ? await this.specimenOf(run, packId as string) : specimenId;
    const specimen = isUuid(target) ? await this.specimensService.find(target) : null;
    if (!specimen || specimen.owner.id !== run.testerId) {
      throw new Problem("unknown-reference", "Name a specimen of the run's tester.", {
        errors: [{ pointer: "/specimenId", message: "names no specimen of the run's tester" }],
      });
    }
    const moved = this.runTransitionsRepository.transaction(async (tx) => {
      const head = await this.runTransitionsRepository.lock(tx, run.id);
      if (!head) return;
      requireMayMove(head, caller);
      const from = await this.runMovesRepository.specimenOf(tx, run.id);
      if (from === specimen.id) return;
      if (run.testerId === caller.id) await this.requireUnclaimed(tx, run.id);
      else await this.tell(tx, head, specimen.packId);
      await this.standingsService.lockVersions(tx);
      await this.standingsService.lockPacks(tx, [head.packId, specimen.packId]);
      if (!(await this.runMovesRepository.isOfPack(tx, specimen.id, specimen.packId))) throw packChanged();
      if (run.testerId !== caller.id) {
        await this.conflictsService.requireNoStake(tx, caller, { runId: run.id, packIds: [specimen.packId] });
      }
      if (specimen.packId !== head.packId) await this.requireUnsealed(tx, run.id, head.packId, specimen.packId);
      await this.runMovesRepository.move(tx, run.id, specimen.id);
      const places = `From specimen ${from} of pack ${head.packId} to specimen ${specimen.id} of pack ${specimen.packId}.`;
      const by = { actorId: caller.id, reason: note ? `${places} ${note}` : places };
      this.runTransitionsRepository.record(tx, run.id, "move", by, head, head);
      const isOtherPack = specimen.packId !== head.packId;
      if (isOtherPack && head.state === "processed") {
        await this.outdatedRunsRepository.mark(tx, run.id);
        await this.outdatedRunsRepository.compareAnew(tx, [run.id]);
      }
      if (head.review !== "accepted") return;
      await this.standingsService.refreshAll(tx, isOtherPack ? [head.packId, specimen.packId] : [head.packId]);
    });
    await moved.catch((error: unknown) => {
      throw isDuplicate(error) ? uploadedThere() : error;
    });
    return this.runsService.get(run.id, caller);
  }

  /** A tester takes nothing away from under the eyes of the moderator who is about to decide on it. */
  private async requireUnclaimed(tx: Transaction, runId: string): Promise<void> {
    const until = await this.runMovesRepository.claimedUntil(tx, runId);
    if (!until) return;
    throw new Problem(
      "decision-not-possible",
      `A moderator is looking at the run until ${until.toISOString()}. Move it after that, or once it is decided on.`,
    );
  }

  /** Its tester learns of what somebody else does; before packs are locked. */
  private async tell(tx: Transaction, { id, testerId, packId }: RunHead, toId: string): Promise<void> {
    const reasonOf = { kind: "run", id, event: "move" } as const;
    const facts = { from: packId, to: toId };
    await this.noticeWriter.tell(tx, [{ kind: "run-moved", accountId: testerId, subjectId: id, facts, reasonOf }]);
  }

  /** A run in a sealed round stays there until it closes, and one whose figures anybody has seen comes to none. */
  private async requireUnsealed(tx: Transaction, runId: string, fromId: string, toId: string): Promise<void> {
    const wasSeen = await this.runMovesRepository.wasAccepted(tx, runId);
    const packIds = wasSeen ? [fromId, toId] : [fromId];
    await this.openRoundsService.requireNone(tx, packIds, "move the run");
  }

  /** The tester's specimen of another pack that has the label of the run's, registered when there is none. */
  private async specimenOf(run: RunHead, packId: string): Promise<string> {
    const { id } = await referenced("/packId", this.packsService.get(packId));
    const { label, cycles, massGrams } = await this.specimensService.ofRun(run.id);
    return this.specimensService.ownOf(run.testerId, { packId: id, label, cycles, massGrams });
  }
}

/** @throws Problem when the caller may not move the run, or nobody may */
function requireMayMove({ review, testerId, state }: RunHead, caller: Caller): void {
  const isOwn = testerId === caller.id;
  if (!isOwn && caller.role === "tester") throw new Problem("role-required", "Only its tester may move a run.");
  if (review === "withdrawn") throw new Problem("decision-not-possible", "The run was withdrawn.");
  if (isOwn && review === "accepted") {
    throw new Problem("role-required", "The run is accepted: another person, a moderator, can move it now.");
  }
  if (state === "processing") throw new Problem("decision-not-possible", "The run is being evaluated. Try again soon.");
}

function packChanged(): Problem {
  return new Problem("decision-not-possible", "The specimen has become one of another pack meanwhile. Try again.");
}

function uploadedThere(): Problem {
  return new Problem(
    "already-exists",
    "The same log was uploaded for that specimen too. Withdraw one of the two runs.",
  );
}

import { Injectable } from "@nestjs/common";
import { type DeclaredPack, leadSizeProblem } from "../../core/inputs/pack.js";
import { matchKey } from "../../core/register/pack-name.js";
import type { Pack, Prisma } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { idOf, isUuid } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { ConflictsService } from "../conflicts/conflicts.service.js";
import { type NewNotice, NoticeWriter } from "../notices/notice-writer.service.js";
import { PackPeople } from "../notices/pack-people.service.js";
import { maySee, PacksService, packView } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { SimilarPacksService } from "../packs/similar-packs.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { OutdatedRunsService } from "../runs/evaluation/outdated-runs.service.js";
import { OpenRoundsService } from "../sealed-rounds/open-rounds.service.js";
import type { PackCorrectionInput } from "./corrections.views.js";
import { changesOf, textOf } from "./pack-changes.js";
import { PackMassService } from "./pack-mass.service.js";
import { RegisterRepository } from "./register.repository.js";

/** What of a pack figures and classes depend on. */
const JUDGED = [
  "chemistry",
  "series",
  "parallel",
  "ratedCapacityMah",
  "labelContinuousC",
  "labelBurstC",
  "massGrams",
] as const satisfies readonly (keyof DeclaredPack)[];

const UNTRACED =
  "It was merged before the service kept which specimens are of which pack. Register the pack again under another name, and move its runs there one by one.";

/** What packs are told apart by. */
const COMPARED = ["maker", "name", "series", "ratedCapacityMah"] as const satisfies readonly (keyof DeclaredPack)[];

/** Puts registered packs right: corrects them, and merges those that are one. */
@Injectable()
export class CorrectionsService {
  constructor(
    private readonly registerRepository: RegisterRepository,
    private readonly packsService: PacksService,
    private readonly outdatedRunsService: OutdatedRunsService,
    private readonly similarPacksService: SimilarPacksService,
    private readonly standingsService: StandingsService,
    private readonly packMassService: PackMassService,
    private readonly openRoundsService: OpenRoundsService,
    private readonly conflictsService: ConflictsService,
    private readonly packPeople: PackPeople,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  /** Who registered a pack corrects it until a run of it is accepted or it is confirmed; moderators do after. */
  async correct(
    id: string,
    { reason = null, differsFrom, ...sent }: PackCorrectionInput,
    caller: Caller,
  ): Promise<PackView> {
    const packId = idOf(id, "pack");
    if (sent.massGrams !== undefined) await this.packMassService.requireAgreement(packId, sent.massGrams);
    const run = this.registerRepository.transaction(async (tx) => {
      await this.outdatedRunsService.lockRunsOf(tx, packId);
      const told = others(await this.packPeople.registrantsOf(tx, [packId]), caller);
      await this.noticeWriter.hold(tx, told);
      await this.standingsService.lockAll(tx, [packId]);
      const pack = await this.registerRepository.lockPack(tx, packId);
      if (!pack || pack.mergedIntoId || !maySee(pack, caller)) throw notFound("pack");
      const changes = changesOf(pack, sent);
      const next = { ...pack, ...changes } as Pack & DeclaredPack;
      const right = await this.requireMayCorrect(tx, pack, next, caller);
      if (Object.keys(changes).length === 0) return pack;
      const lead = leadSizeProblem(next, "");
      if (lead) throw invalidInput([lead]);
      if (COMPARED.some((member) => member in changes)) {
        await this.similarPacksService.requireOther(tx, next, [packId, ...(differsFrom ?? [])]);
      }
      const isJudged = JUDGED.some((member) => member in changes);
      // What whoever registered a pack says of it moves nothing that was ever confirmed.
      if (isJudged && right === "moderator") await this.standingsService.beforeCorrection(tx, packId);
      else if (isJudged) await this.standingsService.forgetCorrections(tx, packId);
      const event = {
        actorId: caller.id,
        event: "correct",
        from: textOf(pack, changes),
        to: textOf(next, changes),
        reason,
      };
      const corrected = await this.registerRepository.updatePack(
        tx,
        packId,
        { ...changes, matchKey: matchKey(next) } as Prisma.PackUncheckedUpdateInput,
        event,
      );
      const reasonOf = { kind: "pack", id: packId, event: "correct" } as const;
      const notice = {
        kind: "pack-corrected",
        subjectId: packId,
        facts: { changed: Object.keys(changes) },
        reasonOf,
      } as const;
      await this.noticeWriter.tell(tx, toAll(told, notice));
      if (isJudged) await this.outdatedRunsService.markRunsOf(tx, packId);
      await this.standingsService.refreshAll(tx, [packId]);
      return corrected;
    });
    return packView(await run.catch(refuseTaken));
  }

  /** Specimens and runs of a pack that is another one become that one's; its id leads there from then on. */
  async merge(id: string, into: string, reason: string | null, caller: Caller): Promise<PackView> {
    const packId = idOf(id, "pack");
    if (!isUuid(into)) throw unknownTarget();
    const intoId = into.toLowerCase();
    return this.registerRepository.transaction(async (tx) => {
      await this.outdatedRunsService.lockRunsOf(tx, packId);
      const people = [
        ...(await this.packPeople.registrantsOf(tx, [packId, intoId])),
        ...(await this.packPeople.ownersOf(tx, packId)),
      ];
      const told = others(people, caller);
      await this.noticeWriter.hold(tx, told);
      await this.standingsService.lockAll(tx, [packId, intoId]);
      const [pack, target] = [
        await this.registerRepository.lockPack(tx, packId),
        await this.registerRepository.lockPack(tx, intoId),
      ];
      if (!pack) throw notFound("pack");
      if (!target) throw unknownTarget();
      requireSeparate(pack, target);
      await this.conflictsService.requireNoStake(tx, caller, { packIds: [packId, intoId] });
      await this.openRoundsService.requireNone(tx, [packId, intoId], "merge it");
      await this.registerRepository.lockSpecimens(tx, packId);
      if (JUDGED.some((member) => pack[member] !== target[member])) {
        await this.outdatedRunsService.markRunsOf(tx, packId);
      }
      await this.outdatedRunsService.compareRunsOf(tx, packId);
      await this.standingsService.beforeMerge(tx, packId, intoId);
      await this.registerRepository.moveSpecimens(tx, packId, intoId);
      const event = { actorId: caller.id, event: "merge", from: "separate", to: `merged into ${intoId}`, reason };
      await this.registerRepository.leadOn(tx, packId, intoId);
      const merged = { mergedIntoId: intoId, mergedDirectlyIntoId: intoId };
      await this.registerRepository.updatePack(tx, packId, merged, event);
      const reasonOf = { kind: "pack", id: packId, event: "merge" } as const;
      const facts = { from: packId, to: intoId };
      await this.noticeWriter.tell(tx, toAll(told, { kind: "pack-merged", subjectId: packId, facts, reasonOf }));
      await this.standingsService.refreshAll(tx, [packId, intoId]);
      return packView(target);
    });
  }

  /** A pack that was merged by mistake is one of its own again, with its specimens and their runs; what was registered since stays. */
  async undoMerge(id: string, reason: string | null, caller: Caller): Promise<PackView> {
    const packId = idOf(id, "pack");
    for (;;) {
      const fromId = await this.packsService.mergedInto(packId);
      const undone = await this.registerRepository.transaction((tx) =>
        this.separate(tx, packId, fromId, reason, caller),
      );
      if (undone) return packView(undone);
    }
  }

  /** @returns null when the pack has been led on to another one than the one whose runs were locked */
  private async separate(
    tx: Transaction,
    packId: string,
    fromId: string | null,
    reason: string | null,
    caller: Caller,
  ): Promise<Pack | null> {
    if (fromId) await this.outdatedRunsService.lockRunsOf(tx, fromId);
    const told = fromId ? others(await this.peopleOfMerge(tx, packId, fromId), caller) : [];
    await this.noticeWriter.hold(tx, told);
    await this.standingsService.lockAll(tx, fromId ? [packId, fromId] : [packId]);
    const pack = await this.registerRepository.lockPack(tx, packId);
    if (!pack) throw notFound("pack");
    if (pack.mergedIntoId !== fromId) return null;
    const from = fromId === null ? null : await this.registerRepository.lockPack(tx, fromId);
    if (!from) throw new Problem("decision-not-possible", "The pack is not merged.");
    await this.conflictsService.requireNoStake(tx, caller, { packIds: [packId, from.id] });
    await this.openRoundsService.requireNone(tx, [packId, from.id], "undo the merge");
    if (pack.mergedUntraced) throw new Problem("decision-not-possible", UNTRACED);
    const event = { actorId: caller.id, event: "undo-merge", from: `merged into ${from.id}`, to: "separate", reason };
    const separate = { mergedIntoId: null, mergedDirectlyIntoId: null };
    const undone = await this.registerRepository.updatePack(tx, packId, separate, event);
    await this.registerRepository.returnSpecimens(tx, packId, from.id);
    const reasonOf = { kind: "pack", id: packId, event: "undo-merge" } as const;
    const facts = { from: from.id, to: packId };
    await this.noticeWriter.tell(tx, toAll(told, { kind: "pack-separated", subjectId: packId, facts, reasonOf }));
    await this.standingsService.afterUndoneMerge(tx, packId);
    if (JUDGED.some((member) => pack[member] !== from[member])) await this.outdatedRunsService.markRunsOf(tx, packId);
    await this.standingsService.refreshAll(tx, [packId, from.id]);
    return undone;
  }

  /** Who registered either pack, and whose specimens came with the one that was merged. */
  private async peopleOfMerge(tx: Transaction, packId: string, fromId: string): Promise<string[]> {
    const merged = await this.registerRepository.withMerged(tx, packId);
    const registrants = await this.packPeople.registrantsOf(tx, [packId, fromId]);
    return [...registrants, ...(await this.packPeople.ownersOf(tx, fromId, merged))];
  }

  /** @returns by which right: of whoever registered it, or of a moderator without a stake */
  private async requireMayCorrect(
    tx: Transaction,
    pack: Pack,
    next: DeclaredPack,
    caller: Caller,
  ): Promise<"registrant" | "moderator"> {
    const isOpen = !pack.confirmedAt && !(await this.registerRepository.hasAcceptedRun(tx, pack.id));
    if (isOpen && pack.createdById === caller.id) return "registrant";
    if (caller.role !== "tester") {
      await this.conflictsService.requireNoStake(tx, caller, { packIds: [pack.id], classes: [next] });
      return "moderator";
    }
    if (pack.createdById !== caller.id) {
      throw new Problem("role-required", "Only who registered a pack, or a moderator, corrects it.");
    }
    throw new Problem("role-required", "The pack is confirmed, or has accepted runs: a moderator corrects it now.");
  }
}

/** Each once, without who does it. */
const others = (accountIds: readonly string[], caller: Caller): string[] => [
  ...new Set(accountIds.filter((id) => id !== caller.id)),
];

const toAll = (accountIds: readonly string[], notice: Omit<NewNotice, "accountId">): NewNotice[] =>
  accountIds.map((accountId) => ({ ...notice, accountId }));

function requireSeparate(pack: Pack, target: Pack): void {
  const fault =
    pack.id === target.id
      ? "A pack is not merged into itself."
      : pack.mergedIntoId
        ? "The pack was merged already."
        : target.mergedIntoId
          ? `The other pack was merged into ${target.mergedIntoId}.`
          : null;
  if (fault) throw new Problem("decision-not-possible", fault);
}

function unknownTarget(): Problem {
  return invalidInput([{ pointer: "/into", message: "names no pack" }]);
}

function refuseTaken(error: unknown): never {
  if (!isDuplicate(error)) throw error;
  throw new Problem("already-exists", "The record has another pack with this maker, name, layout and rated capacity.");
}

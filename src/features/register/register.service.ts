import { Injectable } from "@nestjs/common";
import type { Pack } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { ConflictsService } from "../conflicts/conflicts.service.js";
import { type NewNotice, NoticeWriter } from "../notices/notice-writer.service.js";
import { PackPeople } from "../notices/pack-people.service.js";
import { packView } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { StandingsService } from "../rankings/standings.service.js";
import { requireAsSeen } from "./pack-changes.js";
import { RegisterRepository } from "./register.repository.js";
import type { ConfirmationInput } from "./register.views.js";

/** Moderators confirm what testers propose, and hide what is none. */
@Injectable()
export class RegisterService {
  constructor(
    private readonly registerRepository: RegisterRepository,
    private readonly standingsService: StandingsService,
    private readonly conflictsService: ConflictsService,
    private readonly packPeople: PackPeople,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  /** A moderator finds a pack of another to be as it is registered. */
  async confirm(id: string, { checked, reason = null, seen }: ConfirmationInput, caller: Caller): Promise<PackView> {
    if (!checked.includes("label")) throw invalidInput([{ pointer: "/checked", message: "must hold label" }]);
    return this.change(id, "pack-confirmed", caller, async (tx, pack) => {
      if (pack.createdById === caller.id && caller.role !== "administrator") {
        throw new Problem("role-required", "Another moderator confirms a pack that you registered yourself.");
      }
      requireAsSeen(pack, { ...seen });
      if (pack.confirmedAt) return pack;
      const event = { actorId: caller.id, event: "confirm", from: "proposed", to: "confirmed", reason };
      const data = { confirmedAt: new Date(), confirmedById: caller.id };
      return this.registerRepository.updatePack(tx, pack.id, data, {
        ...event,
        to: `confirmed: ${checked.toSorted().join(", ")}`,
      });
    });
  }

  /** The pack is proposed again. */
  async unconfirm(id: string, reason: string | null, caller: Caller): Promise<PackView> {
    return this.change(id, "pack-unconfirmed", caller, async (tx, pack) => {
      if (!pack.confirmedAt) return pack;
      const event = { actorId: caller.id, event: "unconfirm", from: "confirmed", to: "proposed", reason };
      return this.registerRepository.updatePack(tx, pack.id, { confirmedAt: null, confirmedById: null }, event);
    });
  }

  /** The pack leaves every list and ranking; nothing of it is deleted. */
  async hide(id: string, reason: string, caller: Caller): Promise<PackView> {
    return this.change(id, "pack-hidden", caller, async (tx, pack) => {
      if (pack.hiddenAt) return pack;
      // What is confirmed of it follows, once it is shown, whatever is corrected meanwhile.
      await this.standingsService.beforeCorrection(tx, pack.id);
      const event = { actorId: caller.id, event: "hide", from: "shown", to: "hidden", reason };
      return this.registerRepository.updatePack(tx, pack.id, { hiddenAt: new Date() }, event);
    });
  }

  /** The pack is shown again, and its runs count. */
  async show(id: string, reason: string | null, caller: Caller): Promise<PackView> {
    return this.change(id, "pack-shown", caller, async (tx, pack) => {
      if (!pack.hiddenAt) return pack;
      const event = { actorId: caller.id, event: "show", from: "hidden", to: "shown", reason };
      return this.registerRepository.updatePack(tx, pack.id, { hiddenAt: null }, event);
    });
  }

  /** Changes a pack with what follows for its standings, and tells those whose it is, all or nothing. */
  private change(
    id: string,
    kind: keyof typeof EVENTS,
    caller: Caller,
    work: (tx: Transaction, pack: Pack) => Promise<Pack>,
  ): Promise<PackView> {
    const packId = idOf(id, "pack");
    return this.registerRepository.transaction(async (tx) => {
      const people = await this.peopleOf(tx, packId, kind);
      const told = people.filter((accountId) => accountId !== caller.id);
      await this.noticeWriter.hold(tx, told);
      await this.standingsService.lockAll(tx, [packId]);
      const pack = await this.registerRepository.lockPack(tx, packId);
      if (!pack) throw notFound("pack");
      await this.conflictsService.requireNoStake(tx, caller, { packIds: [packId] });
      const changed = await work(tx, pack);
      if (changed !== pack) {
        const reasonOf = { kind: "pack", id: packId, event: EVENTS[kind] } as const;
        await this.noticeWriter.tell(
          tx,
          told.map((accountId): NewNotice => ({ kind, accountId, subjectId: packId, reasonOf })),
        );
      }
      await this.standingsService.refreshAll(tx, [packId]);
      return packView(changed);
    });
  }

  /** Whether a pack is shown concerns all whose runs go with it; whether it is confirmed, who registered it. */
  private peopleOf(tx: Transaction, packId: string, kind: keyof typeof EVENTS): Promise<string[]> {
    return kind === "pack-hidden" || kind === "pack-shown"
      ? this.packPeople.of(tx, packId)
      : this.packPeople.registrantsOf(tx, [packId]);
  }
}

/** Notices of what is done to a pack, and the events of the audit log that they tell of. */
const EVENTS = {
  "pack-confirmed": "confirm",
  "pack-unconfirmed": "unconfirm",
  "pack-hidden": "hide",
  "pack-shown": "show",
} as const;

import { Injectable } from "@nestjs/common";
import type { RankedResult } from "../../../core/record/standing.js";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import type { Caller } from "../../../platform/auth/account.js";
import type { Transaction } from "../../../platform/database/database.js";
import { columnOfLoad } from "../../../platform/database/rows/load-column.js";
import { idOf } from "../../../platform/database/rows/uuid.js";
import { type Page, readPage } from "../../../platform/paging/page.js";
import { notFound, Problem } from "../../../platform/problems/problem.js";
import { ConflictsService } from "../../conflicts/conflicts.service.js";
import { NoticeWriter } from "../../notices/notice-writer.service.js";
import { PacksService } from "../../packs/packs.service.js";
import type { PackView } from "../../packs/packs.views.js";
import { ActiveVersionService } from "../../protocols/active-version.service.js";
import type { FigureStanding } from "../results/pack-figures.js";
import { isRanked } from "../results/standing-rows.js";
import { StandingsService } from "../standings.service.js";
import { disputesOf, heldOf } from "./standing-review-view.js";
import { StandingReviewsRepository, type UndecidedPack } from "./standing-reviews.repository.js";
import type {
  DisputeInput,
  HeldResultsInput,
  StandingReviewsArgs,
  StandingReviewView,
} from "./standing-reviews.views.js";

/** What of standings waits for a moderator without a stake: disputes and held results. */
@Injectable()
export class StandingReviewsService {
  constructor(
    private readonly standingReviewsRepository: StandingReviewsRepository,
    private readonly standingsService: StandingsService,
    private readonly activeVersionService: ActiveVersionService,
    private readonly packsService: PacksService,
    private readonly auditLog: AuditLog,
    private readonly conflictsService: ConflictsService,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  async list(args: StandingReviewsArgs): Promise<Page<StandingReviewView>> {
    const page = await readPage(args, {
      name: "standing-reviews",
      filters: {},
      keys: ["text", "uuid"],
      read: (window) => this.standingReviewsRepository.undecided(window),
      count: () => this.standingReviewsRepository.countUndecided(),
      keyOf: ({ protocolKey, packId }) => [protocolKey, packId],
    });
    const items: StandingReviewView[] = [];
    for (const one of page.items) items.push(await this.view(one));
    return { ...page, items };
  }

  /** Decides on the disputed standings of a pack: on what the results give, or on the value that is shown. */
  decideDisputes({ decision, figure, load, ...input }: DisputeInput, caller: Caller): Promise<StandingReviewView> {
    return this.decide(input, caller, async (tx, of, found) => {
      const wanted = found.filter(
        (one) =>
          one.standing.disputed &&
          (figure == null || one.figure === figure) &&
          (load == null || one.load === columnOfLoad(load)),
      );
      if (wanted.length === 0) throw nothingToDecide("No such standing of the pack is disputed.");
      for (const { standing, ...one } of wanted) {
        const { value: computedValue, uncertainty, degreesOfFreedom } = standing.consensus;
        const taken = { value: computedValue, uncertainty, degreesOfFreedom, keptValue: null };
        // A value that a moderator has taken holds against the reference testers too; one that is kept moves nowhere.
        const data =
          decision === "keep-shown"
            ? { computedValue, keptValue: computedValue }
            : { ...taken, computedValue, moderatorId: caller.id, confirmedAt: new Date() };
        await this.standingReviewsRepository.confirm(tx, { ...of, figure: one.figure, load: one.load }, data);
      }
      return { event: decision, from: "disputed", about: wanted };
    });
  }

  /** Decides on the held results of a tester, or decides anew on those that were decided on. */
  decideHeldResults({ tester, decision, ...input }: HeldResultsInput, caller: Caller): Promise<StandingReviewView> {
    return this.decide({ ...input, tester }, caller, async (tx, of, found, testerId) => {
      if (testerId === null) throw notFound("tester");
      const wanted = found.flatMap((one) => {
        const result = one.results.find((other) => other.testerId === testerId);
        const isOpen = result && (result.decision !== null || one.standing.heldTesterIds.includes(testerId));
        return isOpen ? [{ ...one, result }] : [];
      });
      if (wanted.length === 0) throw nothingToDecide("No result of this tester is held.");
      for (const one of wanted) {
        const { value } = one.result as RankedResult;
        const decided = { value, counts: decision === "count", moderatorId: caller.id };
        const key = { ...of, figure: one.figure, load: one.load, testerId };
        await this.standingReviewsRepository.decideOnHeld(tx, key, decided);
      }
      const reasonOf = { ...subjectOf(of), event: decision } as const;
      const facts = { to: decision };
      await this.noticeWriter.tell(tx, [
        { kind: "held-result-decided", accountId: testerId, subjectId: of.packId, facts, reasonOf },
      ]);
      return { event: decision, from: `held of ${testerId}`, about: wanted };
    });
  }

  /** Decides under the lock of the pack, records it and lets the standings follow, all or nothing. */
  private async decide(
    { packId, protocol, note, tester = null }: Undecided,
    caller: Caller,
    work: (
      tx: Transaction,
      of: UndecidedPack,
      found: readonly FigureStanding[],
      testerId: string | null,
    ) => Promise<Decided>,
  ): Promise<StandingReviewView> {
    const pack = await this.packsService.get(packId);
    const active = await this.activeVersionService.find(protocol);
    if (!active) throw notFound("protocol");
    const of = { packId: idOf(pack.id, "pack"), protocolKey: protocol };
    await this.auditLog.transaction(async (tx) => {
      const testerId = tester === null ? null : await this.standingReviewsRepository.testerId(tx, tester);
      await this.noticeWriter.hold(tx, testerId === null ? [] : [testerId]);
      await this.standingsService.lockPack(tx, of.packId, protocol);
      await this.conflictsService.requireOutsider(tx, caller, { packIds: [of.packId] });
      const { event, from, about } = await work(tx, of, await this.rankedStandings(tx, of), testerId);
      this.auditLog.record(tx, {
        actorId: caller.id,
        event,
        subject: subjectOf(of),
        from,
        to: event,
        rules: about.map(({ figure, load }) => (load === 0 ? figure : `${figure} ${load} A`)),
        reason: note,
      });
      await this.standingsService.refreshPack(tx, of.packId, protocol);
    });
    return this.view(of);
  }

  private async rankedStandings(tx: Transaction, { packId, protocolKey }: UndecidedPack): Promise<FigureStanding[]> {
    const { protocol } = await this.activeVersionService.lockShared(tx, protocolKey);
    const found = await this.standingsService.standingsOfPacks(tx, [packId], protocolKey);
    return found.filter((one) => isRanked(protocol, one));
  }

  private async view(of: UndecidedPack): Promise<StandingReviewView> {
    const found = await this.auditLog.transaction((tx) => this.rankedStandings(tx, of));
    const packs = await this.packsService.byIds([of.packId]);
    const testers = await this.standingReviewsRepository.testers(
      found.flatMap(({ standing }) => standing.heldTesterIds),
    );
    return {
      pack: packs.get(of.packId) as PackView,
      protocol: of.protocolKey,
      disputes: disputesOf(found),
      held: heldOf(found, testers),
    };
  }
}

/** What a decision is on, and why it is made. */
interface Undecided {
  readonly packId: string;
  readonly protocol: string;
  readonly note: string;
  /** Whose results; null where it is on the standing itself. */
  readonly tester?: string | null;
}

const subjectOf = ({ protocolKey, packId }: UndecidedPack) =>
  ({ kind: "standing", id: `${protocolKey} ${packId}` }) as const;

/** What was decided, for the audit log. */
interface Decided {
  readonly event: string;
  readonly from: string;
  readonly about: readonly Pick<FigureStanding, "figure" | "load">[];
}

const nothingToDecide = (message: string): Problem => new Problem("decision-not-possible", message);

import { Injectable, type OnModuleInit } from "@nestjs/common";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { type Page, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { addJobs, NOBODYS_TURN } from "../../platform/queue/add-job.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { ConflictsService } from "../conflicts/conflicts.service.js";
import { NoticeWriter } from "../notices/notice-writer.service.js";
import { PackPeople } from "../notices/pack-people.service.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { AUTO_ACCEPT_RUN } from "../runs/runs.service.js";
import { type SealedRoundRow, SealedRoundsRepository } from "./sealed-rounds.repository.js";
import type { SealedRoundInput, SealedRoundsArgs, SealedRoundView } from "./sealed-rounds.views.js";

const CLOSE_SEALED_ROUND = "close-sealed-round";
const HOUR_MS = 3_600_000;
const MAX_DAYS = 180;

/** Rounds in which a new pack is measured unseen: agreement with a published value proves nothing. */
@Injectable()
export class SealedRoundsService implements OnModuleInit {
  constructor(
    private readonly sealedRoundsRepository: SealedRoundsRepository,
    private readonly packsService: PacksService,
    private readonly jobQueue: JobQueue,
    private readonly auditLog: AuditLog,
    private readonly conflictsService: ConflictsService,
    private readonly packPeople: PackPeople,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(CLOSE_SEALED_ROUND, async (payload) => {
      const { packId } = payload as { packId: string };
      await this.auditLog.transaction(async (tx) => {
        const runIds = await this.sealedRoundsRepository.waiting(tx, packId);
        const jobs = runIds.map((runId) => ({ payload: { runId }, key: `${AUTO_ACCEPT_RUN}:${runId}` }));
        await addJobs(tx, AUTO_ACCEPT_RUN, jobs, "background");
        await this.sealedRoundsRepository.noteTesters(tx, packId);
      });
    });
  }

  async list({ open = null, ...args }: SealedRoundsArgs): Promise<Page<SealedRoundView>> {
    const page = await readPage(args, {
      name: "sealed-rounds",
      filters: { open: open === null ? null : String(open) },
      keys: ["uuid"],
      read: (window) => this.sealedRoundsRepository.list(open, window),
      count: () => this.sealedRoundsRepository.count(open),
      keyOf: ({ id }) => [id],
    });
    const packs = await this.packsService.byIds(page.items.map(({ packId }) => packId));
    return { ...page, items: page.items.map((row) => roundView(row, packs.get(row.packId) as PackView)) };
  }

  /** Opens a round for a pack of which nobody has seen a result. */
  async open(packId: string, { closesAt, note }: SealedRoundInput, caller: Caller): Promise<SealedRoundView> {
    const closes = new Date(closesAt);
    requireSensible(closes.getTime() - Date.now());
    const id = idOf(packId, "pack");
    const roundId = await this.auditLog
      .transaction(async (tx) => {
        const told = (await this.packPeople.of(tx, id)).filter((accountId) => accountId !== caller.id);
        await this.noticeWriter.hold(tx, told);
        if (!(await this.sealedRoundsRepository.lockPack(tx, id))) throw notFound("pack");
        await this.conflictsService.requireNoStake(tx, caller, { packIds: [id] });
        if (await this.sealedRoundsRepository.wasSeen(tx, id)) {
          throw new Problem("decision-not-possible", "A result of the pack has been public: a round is for new packs.");
        }
        const created = await this.sealedRoundsRepository.create(tx, {
          packId: id,
          closesAt: closes,
          openedById: caller.id,
        });
        this.auditLog.record(tx, {
          actorId: caller.id,
          event: "open-sealed-round",
          subject: { kind: "pack", id },
          to: closes.toISOString(),
          reason: note,
        });
        const reasonOf = { kind: "pack", id, event: "open-sealed-round" } as const;
        const notice = {
          kind: "sealed-round-opened",
          subjectId: id,
          facts: { to: closes.toISOString() },
          reasonOf,
        } as const;
        await this.noticeWriter.tell(
          tx,
          told.map((accountId) => ({ ...notice, accountId })),
        );
        const afterSeconds = Math.ceil((closes.getTime() - Date.now()) / 1_000) + 1;
        const job = { payload: { packId: id }, key: `${CLOSE_SEALED_ROUND}:${id}` };
        await addJobs(tx, CLOSE_SEALED_ROUND, [job], { turn: NOBODYS_TURN, lane: "background", afterSeconds });
        return created;
      })
      .catch(refuseSecond);
    const row = (await this.sealedRoundsRepository.find(roundId)) as SealedRoundRow;
    return roundView(row, await this.packsService.get(id));
  }
}

function requireSensible(ms: number): void {
  if (ms >= HOUR_MS && ms <= MAX_DAYS * 24 * HOUR_MS) return;
  const message = `must be from one hour to ${MAX_DAYS} days from now`;
  throw invalidInput([{ pointer: "/closesAt", message }]);
}

function refuseSecond(error: unknown): never {
  if (!isDuplicate(error)) throw error;
  throw new Problem("already-exists", "The pack has its sealed round already: there is one a pack.");
}

const roundView = ({ id, opensAt, closesAt, testers }: SealedRoundRow, pack: PackView): SealedRoundView => ({
  id,
  pack,
  opensAt: opensAt.toISOString(),
  closesAt: closesAt.toISOString(),
  open: closesAt.getTime() > Date.now(),
  testers,
});

import { Injectable, type OnModuleInit } from "@nestjs/common";
import { log } from "../../core/numerics/library.js";
import { type Calibration, calibrationOf } from "../../core/record/calibration.js";
import type { QuantityRecord } from "../../core/record/judge.js";
import { judgementOf, recordUncertaintyOf } from "../../core/record/judgement.js";
import { RECORD_QUANTITIES } from "../../core/record/quantities.js";
import { isReference, SETTLED_AFTER_DAYS, statusAt, type TesterStatus } from "../../core/record/status.js";
import type { TesterRecord } from "../../generated/prisma/client.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { Problem } from "../../platform/problems/problem.js";
import { addJobs, NOBODYS_TURN } from "../../platform/queue/add-job.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { ConflictsService } from "../conflicts/conflicts.service.js";
import { NoticeWriter } from "../notices/notice-writer.service.js";
import { JUDGE_TESTER, REFRESH_STANDINGS, StandingJobsService } from "../rankings/standing-jobs.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { chosenPacks, quantityPairs, relativeSdOf } from "./pairs.js";
import { PairsRepository } from "./pairs.repository.js";
import { RecordsRepository, type WithdrawnFigureRow } from "./records.repository.js";

export type { WithdrawnFigureRow } from "./records.repository.js";

/** What is known of a tester. */
export interface KnownRecord {
  readonly status: TesterStatus;
  readonly vouchedAt: Date | null;
  readonly establishedSince: Date | null;
  readonly quantities: readonly QuantityRecord[];
}

/** A tester counts as settled a minute after 180 days at the latest. */
const SETTLED_AFTER_SECONDS = SETTLED_AFTER_DAYS * 86_400 + 60;

/** Judges testers by their results, and lets standings follow what became of them. */
@Injectable()
export class RecordsService implements OnModuleInit {
  constructor(
    private readonly recordsRepository: RecordsRepository,
    private readonly pairsRepository: PairsRepository,
    private readonly standingsService: StandingsService,
    private readonly standingJobsService: StandingJobsService,
    private readonly jobQueue: JobQueue,
    private readonly auditLog: AuditLog,
    private readonly conflictsService: ConflictsService,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(JUDGE_TESTER, async (payload) => {
      const { testerId, settles = false } = payload as { testerId: string; settles?: boolean };
      await this.judge(testerId, settles);
    });
    this.jobQueue.handle(REFRESH_STANDINGS, async (payload) => {
      const { packId, protocolKey } = payload as { packId: string; protocolKey: string };
      await this.recordsRepository.transaction((tx) => this.standingsService.refreshPack(tx, packId, protocolKey));
    });
  }

  /**
   * Judges a tester by the results as they are now. Where the status changes, or what the record shows of the own uncertainty, the standings
   * with the tester's results are computed anew; where others are judged by the tester, so are they.
   *
   * @param settles whether the tester may have become a reference since the last time, by time alone
   */
  async judge(testerId: string, settles = false): Promise<void> {
    await this.recordsRepository.transaction(async (tx) => {
      const before = await this.recordsRepository.lock(tx, testerId);
      const rows = await this.pairsRepository.withReferences(tx, testerId);
      const reproducibilities = await this.reproducibilities(tx);
      const needsSealedPack = before.establishedSince === null && (await this.needsSealedPack(tx));
      const { quantities, agrees } = judgementOf(quantityPairs(rows, reproducibilities), needsSealedPack);
      const establishedSince = agrees ? (before.establishedSince ?? new Date()) : null;
      await this.recordsRepository.storeJudgement(tx, testerId, quantities, establishedSince);
      const after = { ...before, establishedSince, judgement: quantities };
      if (agrees && before.establishedSince === null) await this.queueSettling(tx, testerId);
      await this.follow(tx, testerId, before, after, settles);
    });
  }

  /** A moderator vouches for a tester, who counts as a reference tester from then on. */
  async vouch(testerId: string, note: string, caller: Caller): Promise<void> {
    if (testerId === caller.id) throw new Problem("role-required", "You cannot vouch for yourself.");
    await this.change(testerId, caller, note, "vouch", caller.id);
  }

  /** A moderator takes it back that anybody vouches for a tester. */
  async revokeVouch(testerId: string, reason: string | null, caller: Caller): Promise<void> {
    await this.change(testerId, caller, reason, "revoke-vouch", null);
  }

  async of(testerId: string): Promise<KnownRecord> {
    return (await this.ofMany([testerId]))(testerId);
  }

  /** What is known of each of some testers. */
  async ofMany(testerIds: readonly string[]): Promise<(testerId: string) => KnownRecord> {
    const records = new Map((await this.recordsRepository.findMany(testerIds)).map((row) => [row.testerId, row]));
    return (testerId) => known(records.get(testerId) ?? null);
  }

  /** Runs that these testers withdrew when their figures had been seen. */
  withdrawnAfterSeen(testerIds: readonly string[]): Promise<WithdrawnFigureRow[]> {
    return this.recordsRepository.withdrawnAfterSeen(testerIds);
  }

  /** How far a tester's results lie from those of all others on the same packs. */
  async calibration(testerId: string): Promise<Calibration[]> {
    return this.recordsRepository.snapshot(async (tx) => {
      const rows = await this.pairsRepository.withAll(tx, testerId);
      const reproducibilities = await this.reproducibilities(tx);
      return RECORD_QUANTITIES.flatMap((quantity) => {
        const chosen = chosenPacks(rows, quantity);
        const observations = chosen.flatMap(({ rows: some }) => [
          { packId: some[0]?.packId ?? "", testerId, logValue: log(Math.abs(some[0]?.value ?? 1)) },
          ...some.map(({ packId, otherTesterId, otherValue }) => {
            return { packId, testerId: otherTesterId, logValue: log(Math.abs(otherValue)) };
          }),
        ]);
        const usable = observations.filter(({ logValue }) => Number.isFinite(logValue));
        return calibrationOf(quantity, testerId, usable, relativeSdOf(chosen[0], quantity, reproducibilities)) ?? [];
      });
    });
  }

  private async change(
    testerId: string,
    caller: Caller,
    reason: string | null,
    event: "vouch" | "revoke-vouch",
    vouchedById: string | null,
  ): Promise<void> {
    await this.auditLog.transaction(async (tx) => {
      const before = await this.recordsRepository.lock(tx, testerId);
      await this.conflictsService.requireNoStake(tx, caller, { testerId });
      if ((before.vouchedAt !== null) === (vouchedById !== null)) return;
      await this.recordsRepository.vouch(tx, testerId, vouchedById);
      const after = { ...before, vouchedById, vouchedAt: vouchedById === null ? null : new Date() };
      const [from, to] = [known(before).status, known(after).status];
      const subject = { kind: "tester", id: testerId } as const;
      this.auditLog.record(tx, { actorId: caller.id, event, subject, from, to, reason });
      const kind = event === "vouch" ? "vouched-for" : "vouch-revoked";
      await this.noticeWriter.tell(tx, [
        { kind, accountId: testerId, subjectId: testerId, reasonOf: { ...subject, event } },
      ]);
      await this.follow(tx, testerId, before, after, false);
    });
  }

  private async follow(
    tx: Transaction,
    testerId: string,
    before: TesterRecord,
    after: TesterRecord | (Omit<TesterRecord, "judgement"> & { readonly judgement: readonly QuantityRecord[] }),
    settles: boolean,
  ): Promise<void> {
    const [from, to] = [known(before), known(after)];
    const judgesOthers = isReference(from.status) !== isReference(to.status) || settles;
    // Rankings are locked before jobs, as where runs are decided on.
    if (judgesOthers) await this.standingsService.announceChange(tx);
    if (from.status !== to.status || settles || !showSame(from.quantities, to.quantities)) {
      await this.standingJobsService.queueRefresh(tx, await this.recordsRepository.packsOf(tx, testerId));
    }
    if (judgesOthers) {
      const packs = await this.recordsRepository.packsOf(tx, testerId);
      await this.standingJobsService.queueWeighing(tx, [...new Set(packs.map(({ packId }) => packId))]);
      await this.standingJobsService.queueJudgement(tx, await this.recordsRepository.partnersOf(tx, testerId));
    }
  }

  private async queueSettling(tx: Transaction, testerId: string): Promise<void> {
    const job = { payload: { testerId, settles: true }, key: `settle-tester:${testerId}` };
    const order = { turn: NOBODYS_TURN, lane: "background", afterSeconds: SETTLED_AFTER_SECONDS } as const;
    await addJobs(tx, JUDGE_TESTER, [job], order);
  }

  private async needsSealedPack(tx: Transaction): Promise<boolean> {
    const { sealedFrom } = await this.standingsService.policy(tx);
    return sealedFrom !== null && (await this.recordsRepository.countEstablished(tx)) >= sealedFrom;
  }

  private async reproducibilities(tx: Transaction): Promise<ReadonlyMap<string, number>> {
    const all = new Map<string, number>();
    for (const key of ["rated-capacity", "two-pulse", "full-load"]) {
      for (const [name, sd] of await this.standingsService.reproducibilities(tx, key)) all.set(name, sd);
    }
    return all;
  }
}

function known(
  record: (Pick<TesterRecord, "vouchedAt" | "establishedSince"> & { readonly judgement: unknown }) | null,
): KnownRecord {
  const { vouchedAt = null, establishedSince = null } = record ?? {};
  const times = {
    vouchedAt: vouchedAt?.getTime() ?? null,
    establishedSince: establishedSince?.getTime() ?? null,
  };
  const quantities = (record?.judgement ?? []) as readonly QuantityRecord[];
  return { status: statusAt(times, Date.now()), vouchedAt, establishedSince, quantities };
}

/** Whether two judgements show the same uncertainties, which is what standings take of them. */
const showSame = (a: readonly QuantityRecord[], b: readonly QuantityRecord[]): boolean =>
  RECORD_QUANTITIES.every((quantity) => recordUncertaintyOf(a, quantity) === recordUncertaintyOf(b, quantity));

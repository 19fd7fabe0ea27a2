import { Injectable } from "@nestjs/common";
import type { Calibration } from "../../core/record/calibration.js";
import type { Caller } from "../../platform/auth/account.js";
import { notFound } from "../../platform/problems/problem.js";
import { handlePattern } from "../accounts/accounts.views.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { RecordsService, type WithdrawnFigureRow } from "../records/records.service.js";
import { type TesterRow, TestersRepository } from "./testers.repository.js";
import type { CalibrationListView, TesterRecordView, WithdrawalView } from "./testers.views.js";

/** Testers as the public record knows them. */
@Injectable()
export class TestersService {
  constructor(
    private readonly testersRepository: TestersRepository,
    private readonly packsService: PacksService,
    private readonly recordsService: RecordsService,
  ) {}

  /** @throws Problem not-found for a handle that nobody has, or whose account was erased */
  async get(handle: string): Promise<TesterRecordView> {
    const tester = await this.find(handle);
    const [byPack, protocols, record, withdrawn] = await Promise.all([
      this.testersRepository.runsByPack(tester.id),
      this.testersRepository.runsByProtocol(tester.id),
      this.recordsService.of(tester.id),
      this.recordsService.withdrawnAfterSeen(tester.id),
    ]);
    const packs = await this.packsService.byIds([...byPack, ...withdrawn].map(({ packId }) => packId));
    const { createdAt, firstRunAt, lastRunAt, ...rest } = tester;
    return {
      ...rest,
      since: createdAt.toISOString(),
      firstRunAt: firstRunAt?.toISOString() ?? null,
      lastRunAt: lastRunAt?.toISOString() ?? null,
      packs: byPack.map(({ packId, runs }) => ({ pack: packs.get(packId) as PackView, runs })),
      protocols,
      status: record.status,
      vouchedAt: record.vouchedAt?.toISOString() ?? null,
      establishedSince: record.establishedSince?.toISOString() ?? null,
      record: record.quantities.map(({ quantity, packs: shared, partners, gaps }) => {
        return { quantity, packs: shared, partners, gaps: [...gaps] };
      }),
      withdrawals: withdrawalsOf(withdrawn, packs),
    };
  }

  /** A moderator vouches for a tester. */
  async vouch(handle: string, note: string, caller: Caller): Promise<TesterRecordView> {
    await this.recordsService.vouch((await this.find(handle)).id, note, caller);
    return this.get(handle);
  }

  /** Nobody vouches for a tester any more. */
  async revokeVouch(handle: string, caller: Caller): Promise<void> {
    await this.recordsService.revokeVouch((await this.find(handle)).id, caller);
  }

  /** How far the caller's results lie from the others'. */
  async calibration(caller: Caller): Promise<CalibrationListView> {
    const items = await this.recordsService.calibration(caller.id);
    return { items: items.map((one) => ({ ...one, summary: summaryOf(one) })) };
  }

  private async find(handle: string): Promise<TesterRow> {
    const tester = handlePattern.source.test(handle) ? await this.testersRepository.find(handle) : null;
    if (!tester) throw notFound("tester");
    return tester;
  }

  /** Id of the account with this handle or id; null when there is none. An erased one has only its id. */
  idOf(handleOrId: string): Promise<string | null> {
    return this.testersRepository.idOf(handleOrId);
  }
}

function withdrawalsOf(rows: readonly WithdrawnFigureRow[], packs: ReadonlyMap<string, PackView>): WithdrawalView[] {
  return [...Map.groupBy(rows, ({ runId }) => runId).values()].map((some) => {
    const [{ packId, protocol, withdrawnFrom, uploadedAt, excused }] = some as [WithdrawnFigureRow];
    const figures = some.flatMap(({ figure, value, unit, uncertainty }) => {
      return figure === null || value === null || unit === null || uncertainty === null
        ? []
        : [{ figure, value, unit, uncertainty }];
    });
    const pack = packs.get(packId) as PackView;
    return { pack, protocol, withdrawnFrom, uploadedAt: uploadedAt.toISOString(), excused, figures };
  });
}

function summaryOf({ quantity, biasPercent, expandedUncertaintyPercent, packs, others }: Calibration): string {
  const side = biasPercent >= 0 ? "high" : "low";
  const bias = Math.abs(biasPercent).toFixed(1);
  return `Your ${quantity} reads ${bias} +- ${expandedUncertaintyPercent.toFixed(1)} % ${side} against ${packs} packs measured by ${others} others.`;
}

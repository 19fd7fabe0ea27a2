import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { notFound } from "../../platform/problems/problem.js";
import { handlePattern } from "../accounts/accounts.views.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { RecordsService, type WithdrawnFigureRow } from "../records/records.service.js";
import { summaryOf } from "./calibration-summary.js";
import { TestersRepository } from "./testers.repository.js";
import type { CalibrationListView, TesterRecordView, WithdrawalView } from "./testers.views.js";

/** Testers as the public record knows them. */
@Injectable()
export class TestersService {
  constructor(
    private readonly testersRepository: TestersRepository,
    private readonly packsService: PacksService,
    private readonly recordsService: RecordsService,
  ) {}

  /**
   * The record of a tester of whom anything is public; before that it is shown to its tester and to moderators alone, as runs are.
   *
   * @throws Problem not-found for a handle that nobody has, or whose account was erased or has nothing public
   */
  async get(handle: string, caller: Caller | null): Promise<TesterRecordView> {
    const id = await this.find(handle);
    const record = (await this.byIds([id])).get(id);
    if (!record || !(isPublic(record) || caller?.id === id || (caller && caller.role !== "tester")))
      throw notFound("tester");
    return record;
  }

  /** The records of those testers whose accounts stand, by id. */
  async byIds(ids: readonly string[]): Promise<ReadonlyMap<string, TesterRecordView>> {
    const [testers, byPack, protocols, records, withdrawn] = await Promise.all([
      this.testersRepository.findMany(ids),
      this.testersRepository.runsByPack(ids),
      this.testersRepository.runsByProtocol(ids),
      this.recordsService.ofMany(ids),
      this.recordsService.withdrawnAfterSeen(ids),
    ]);
    const packs = await this.packsService.byIds([...byPack, ...withdrawn].map(({ packId }) => packId));
    const packsOf = Map.groupBy(byPack, ({ testerId }) => testerId);
    const protocolsOf = Map.groupBy(protocols, ({ testerId }) => testerId);
    const withdrawnOf = Map.groupBy(withdrawn, ({ testerId }) => testerId);
    const views = testers.map(({ createdAt, firstRunAt, lastRunAt, ...rest }): TesterRecordView => {
      const record = records(rest.id);
      return {
        ...rest,
        since: createdAt.toISOString(),
        firstRunAt: firstRunAt?.toISOString() ?? null,
        lastRunAt: lastRunAt?.toISOString() ?? null,
        packs: (packsOf.get(rest.id) ?? []).map(({ packId, runs }) => ({ pack: packs.get(packId) as PackView, runs })),
        protocols: (protocolsOf.get(rest.id) ?? []).map(({ key, runs }) => ({ key, runs })),
        status: record.status,
        vouchedAt: record.vouchedAt?.toISOString() ?? null,
        establishedSince: record.establishedSince?.toISOString() ?? null,
        record: record.quantities.map(({ quantity, packs: shared, partners, gaps }) => {
          return { quantity, packs: shared, partners, gaps: [...gaps] };
        }),
        withdrawals: withdrawalsOf(withdrawnOf.get(rest.id) ?? [], packs),
      };
    });
    return new Map(views.map((view) => [view.id, view]));
  }

  /** A moderator vouches for a tester. */
  async vouch(handle: string, note: string, caller: Caller): Promise<TesterRecordView> {
    await this.recordsService.vouch(await this.find(handle), note, caller);
    return this.get(handle, caller);
  }

  /** Nobody vouches for a tester any more. */
  async revokeVouch(handle: string, reason: string | null, caller: Caller): Promise<void> {
    await this.recordsService.revokeVouch(await this.find(handle), reason, caller);
  }

  /** How far the caller's results lie from the others'. */
  async calibration(caller: Caller): Promise<CalibrationListView> {
    const items = await this.recordsService.calibration(caller.id);
    return { items: items.map((one) => ({ ...one, summary: summaryOf(one) })) };
  }

  private async find(handle: string): Promise<string> {
    const id = handlePattern.source.test(handle) ? await this.testersRepository.idOfHandle(handle) : null;
    if (id === null) throw notFound("tester");
    return id;
  }

  /** Id of the account with this handle or id; null when there is none. An erased one has only its id. */
  idOf(handleOrId: string): Promise<string | null> {
    return this.testersRepository.idOf(handleOrId);
  }
}

/** Whether a tester has accepted runs, runs that were withdrawn when their figures had been seen, or somebody's word for them. */
const isPublic = ({ runs, withdrawals, vouchedAt }: TesterRecordView): boolean =>
  runs > 0 || withdrawals.length > 0 || vouchedAt !== null;

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

import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { Transaction } from "../../platform/database/database.js";
import { type RankedPack, StandingsService } from "../rankings/standings.service.js";
import { AsIfDoneRepository } from "./as-if-done.repository.js";
import { PreparedPacksRepository } from "./prepared-packs.repository.js";
import { type ReevaluationRow, ReevaluationsRepository } from "./reevaluations.repository.js";

/** Packs that are computed in one transaction: as many as keep their decisions waiting for a moment only. */
const PACKS_AT_ONCE = 25;

/**
 * Computes the standings that a re-evaluation will leave, some packs at a time, before it ends: each lot is a transaction of its own and is kept
 * when the process dies. Whatever changes a pack's standings meanwhile takes away what was prepared of it, under the pack's lock.
 */
@Injectable()
export class PreparedPacksService {
  constructor(
    private readonly preparedPacksRepository: PreparedPacksRepository,
    private readonly reevaluationsRepository: ReevaluationsRepository,
    private readonly asIfDoneRepository: AsIfDoneRepository,
    private readonly standingsService: StandingsService,
  ) {}

  /** Prepares every pack that is not; false when the re-evaluation is at work no more. */
  async prepare(row: ReevaluationRow, document: ProtocolDocument): Promise<boolean> {
    let after: string | null = null;
    for (;;) {
      const last: string | null | undefined = await this.reevaluationsRepository.transaction(async (tx) => {
        if (!(await this.reevaluationsRepository.take(tx, row.id))) return undefined;
        const found = await this.preparedPacksRepository.unprepared(tx, row.id, row.protocolKey, after, PACKS_AT_ONCE);
        await this.prepareSome(tx, row, document, found);
        return found.at(-1)?.id ?? null;
      });
      if (last === undefined) return false;
      if (last === null) return true;
      after = last;
    }
  }

  /** The packs that have changed since they were prepared, when these are few enough to be computed at once; else null. */
  async rest(tx: Transaction, { id, protocolKey }: ReevaluationRow): Promise<RankedPack[] | null> {
    const rest = await this.preparedPacksRepository.unprepared(tx, id, protocolKey, null, PACKS_AT_ONCE + 1);
    return rest.length > PACKS_AT_ONCE ? null : rest;
  }

  /** Computes packs as if the re-evaluation had ended, and keeps what comes of it. */
  async prepareSome(
    tx: Transaction,
    row: ReevaluationRow,
    document: ProtocolDocument,
    packs: readonly RankedPack[],
  ): Promise<void> {
    if (packs.length === 0) return;
    const ids = packs.map(({ id }) => id);
    await this.standingsService.lockPacks(tx, ids);
    const active = { protocol: document, computationVersion: row.computationVersion };
    const computed = await this.asIfDoneRepository.read(tx, row, ids, (asIf) =>
      this.standingsService.computePacks(asIf, active, packs),
    );
    await this.preparedPacksRepository.store(tx, row.id, packs, computed);
  }
}

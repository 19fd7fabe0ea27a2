import { Injectable } from "@nestjs/common";
import type { QuantityRecord } from "../../../core/record/judge.js";
import type {
  HoldDecision,
  ConfirmedValue as StoredConfirmedValue,
  TesterResult,
} from "../../../generated/prisma/client.js";
import type { Transaction } from "../../../platform/database/database.js";
import { insertRows } from "../../../platform/database/rows/insert-rows.js";

/** What is known of a tester where standings are computed. */
export interface StoredRecord {
  readonly testerId: string;
  readonly vouchedAt: Date | null;
  readonly establishedSince: Date | null;
  readonly judgement: readonly QuantityRecord[];
}

export type NewConfirmedValue = StoredConfirmedValue;

/** Reads and writes what standings are made of: testers' results, their records, and what moderators have decided. */
@Injectable()
export class ResultsRepository {
  /** The results of packs under a protocol, of every tester. */
  ofPacks(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<TesterResult[]> {
    return tx.testerResult.findMany({
      where: { packId: { in: [...packIds] }, protocolKey },
      orderBy: [{ figure: "asc" }, { basis: "asc" }, { load: "asc" }, { testerId: "asc" }],
    });
  }

  /** Puts results of a pack, of one tester or of all, in the place of those before. */
  async replace(
    tx: Transaction,
    of: { readonly packId: string; readonly protocolKey: string; readonly testerId?: string },
    results: readonly TesterResult[],
  ): Promise<void> {
    await tx.testerResult.deleteMany({ where: of });
    await insertRows(tx, "tester_result", results);
  }

  /** Every pack and protocol with results. */
  packs(tx: Transaction): Promise<{ packId: string; protocolKey: string }[]> {
    return tx.$queryRaw`
      SELECT DISTINCT pack_id::text AS "packId", protocol_key AS "protocolKey" FROM tester_result ORDER BY 1, 2`;
  }

  /** Everybody with results. */
  async testers(tx: Transaction): Promise<string[]> {
    const rows = await tx.$queryRaw<
      { id: string }[]
    >`SELECT DISTINCT tester_id::text AS id FROM tester_result ORDER BY 1`;
    return rows.map(({ id }) => id);
  }

  async recordsOf(tx: Transaction, testerIds: readonly string[]): Promise<StoredRecord[]> {
    const rows = await tx.testerRecord.findMany({ where: { testerId: { in: [...testerIds] } } });
    return rows.map(({ testerId, vouchedAt, establishedSince, judgement }) => {
      return { testerId, vouchedAt, establishedSince, judgement: judgement as unknown as readonly QuantityRecord[] };
    });
  }

  /** Which of the packs a moderator has confirmed: others have no established standing. */
  async confirmedPacks(tx: Transaction, packIds: readonly string[]): Promise<ReadonlySet<string>> {
    const where = { id: { in: [...packIds] }, confirmedAt: { not: null } };
    return new Set((await tx.pack.findMany({ where, select: { id: true } })).map(({ id }) => id));
  }

  confirmedValues(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<StoredConfirmedValue[]> {
    return tx.confirmedValue.findMany({ where: { packId: { in: [...packIds] }, protocolKey } });
  }

  async replaceConfirmedValues(
    tx: Transaction,
    protocolKey: string,
    packId: string,
    values: readonly NewConfirmedValue[],
  ): Promise<void> {
    await tx.confirmedValue.deleteMany({ where: { protocolKey, packId } });
    await insertRows(tx, "confirmed_value", values);
  }

  decisions(tx: Transaction, packIds: readonly string[], protocolKey: string): Promise<HoldDecision[]> {
    return tx.holdDecision.findMany({ where: { packId: { in: [...packIds] }, protocolKey } });
  }

  /** s_R of the figures of a protocol that it was estimated for, by figure and basis. */
  async reproducibilities(tx: Transaction, protocolKey: string): Promise<ReadonlyMap<string, number>> {
    const rows = await tx.figureReproducibility.findMany({ where: { protocolKey } });
    return new Map(rows.map(({ figure, basis, relativeSd }) => [`${figure} ${basis}`, relativeSd]));
  }
}

import { Injectable } from "@nestjs/common";
import { COMPUTATION_VERSION } from "../../core/model.js";
import { PROTOCOLS, type ProtocolDocument } from "../../core/protocol/index.js";
import type { Transaction } from "../../platform/database/database.js";
import { CountingRepository, type CountingRow } from "./counting.repository.js";

export type { CountingRow } from "./counting.repository.js";

/** The protocol version whose runs count, with the version of the computation that made their figures. */
export interface CountingProtocol {
  readonly protocol: ProtocolDocument;
  readonly computationVersion: string;
}

/** Protocols in the order in which they are asked for a figure. */
export const PROTOCOL_KEYS = [...new Set(PROTOCOLS.map(({ key }) => key))];

/** An evaluation was made under something older than what counts by now. */
export class OutdatedEvaluation extends Error {}

/** Says what counts: of each protocol one version, under one version of the computation, so that no ranking mixes them. */
@Injectable()
export class CountingService {
  constructor(private readonly counting: CountingRepository) {}

  /** What counts for a protocol; null for none that exists. */
  async find(key: string): Promise<CountingProtocol | null> {
    const row = (await this.counting.list()).find((one) => one.key === key);
    return row ? this.withDocument(row) : null;
  }

  /** What counts, of every protocol, in the order in which they are asked for a figure. */
  async list(): Promise<CountingProtocol[]> {
    const rows = new Map((await this.counting.list()).map((row) => [row.key, row]));
    const ordered = PROTOCOL_KEYS.flatMap((key) => rows.get(key) ?? []);
    return Promise.all(ordered.map((row) => this.withDocument(row)));
  }

  /** What counts for a protocol, kept as it is until the transaction ends. */
  async hold(tx: Transaction, key: string): Promise<CountingProtocol> {
    const row = await this.counting.hold(tx, key);
    if (!row) throw new Error(`no version of protocol ${key} counts`);
    return this.withDocument(row);
  }

  /** The document under which a run is evaluated that was uploaded under a version: what counts, or a newer one. */
  async applied(key: string, uploadedUnder: number): Promise<ProtocolDocument> {
    const row = (await this.counting.list()).find((one) => one.key === key);
    return this.counting.document(key, Math.max(row?.version ?? 1, uploadedUnder));
  }

  /**
   * @throws OutdatedEvaluation when an evaluation was made under something older than what counts by now; it is to be made anew
   */
  async requireUpToDate(tx: Transaction, { key, version, computationVersion }: CountingRow): Promise<void> {
    const row = await this.counting.hold(tx, key);
    const isOld = row && (row.version > version || Number(row.computationVersion) > Number(computationVersion));
    if (isOld) throw new OutdatedEvaluation("what counts changed while the run was evaluated; it is evaluated anew");
  }

  /** What counts for a protocol, taken so that nothing is counted or evaluated until the transaction ends. */
  take(tx: Transaction, key: string): Promise<CountingRow> {
    return this.counting.take(tx, key);
  }

  /** Lets another version count from the end of the transaction on; what counted until then is taken before. */
  set(tx: Transaction, row: CountingRow): Promise<void> {
    return this.counting.set(tx, row);
  }

  /** Of protocols of which nothing counts yet, lets the newest version count. */
  insertMissing(documents: readonly ProtocolDocument[]): Promise<void> {
    const versions = Map.groupBy(documents, ({ key }) => key);
    const newest = Array.from(versions, ([key, some]) => ({
      key,
      version: Math.max(...some.map(({ version }) => version)),
      computationVersion: COMPUTATION_VERSION,
    }));
    return this.counting.insertMissing(newest);
  }

  private async withDocument({ key, version, computationVersion }: CountingRow): Promise<CountingProtocol> {
    return { protocol: await this.counting.document(key, version), computationVersion };
  }
}

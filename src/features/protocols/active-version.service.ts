import { Injectable } from "@nestjs/common";
import { COMPUTATION_VERSION } from "../../core/model.js";
import { NEWEST_PROTOCOLS, type ProtocolDocument } from "../../core/protocol/index.js";
import { newestOf } from "../../core/protocol/newest.js";
import type { Transaction } from "../../platform/database/database.js";
import { SharedRead } from "../../platform/database/reads/shared-read.js";
import { Metrics } from "../../platform/metrics/metrics.js";
import { ActiveVersionRepository, type ActiveVersionRow, type RankedVersionRow } from "./active-version.repository.js";

export type { ActiveVersionRow, RankedVersionRow } from "./active-version.repository.js";

/** The active version of a protocol, with the version of the computation that made the figures of its runs. */
export interface ActiveProtocol {
  readonly protocol: ProtocolDocument;
  readonly computationVersion: number;
}

/** Protocols in the order in which they are asked for a figure. */
export const PROTOCOL_KEYS = NEWEST_PROTOCOLS.map(({ key }) => key);

/** Those of one protocol, or all. */
export function ofProtocol(rows: readonly RankedVersionRow[], key: string | null | undefined): RankedVersionRow[] {
  return rows.filter((row) => key == null || row.key === key);
}

/** What changes whenever any ranking does, as one text. */
export function revisionOf(rows: readonly RankedVersionRow[]): string {
  return JSON.stringify(rows);
}

/** What an evaluation was made under has changed meanwhile; it has to be repeated. */
export class OutdatedEvaluation extends Error {}

/** The active version of each protocol and of the computation: rankings use runs evaluated under these alone, never a mixture. */
@Injectable()
export class ActiveVersionService {
  private readonly presentRevisions = new SharedRead(() => this.activeVersionRepository.listRevisions());

  constructor(
    private readonly activeVersionRepository: ActiveVersionRepository,
    private readonly metrics: Metrics,
  ) {}

  /** The active version of a protocol; null when there is no such protocol. */
  async find(key: string): Promise<ActiveProtocol | null> {
    const row = (await this.activeVersionRepository.list()).find((one) => one.key === key);
    return row ? this.withDocument(row) : null;
  }

  /**
   * The active version of every protocol, in the order in which they are asked for a figure.
   *
   * @param seen what was read of them already
   */
  async list(seen?: readonly ActiveVersionRow[]): Promise<ActiveProtocol[]> {
    const rows = new Map((seen ?? (await this.activeVersionRepository.list())).map((row) => [row.key, row]));
    const ordered = PROTOCOL_KEYS.flatMap((key) => rows.get(key) ?? []);
    return Promise.all(ordered.map((row) => this.withDocument(row)));
  }

  /** What changes whenever a ranking does; read once for all who ask at the same time. */
  revisions(): Promise<RankedVersionRow[]> {
    return this.presentRevisions.get();
  }

  /** Counts a change of a protocol's rankings in the transaction that made it. */
  countChange(tx: Transaction, key: string): Promise<void> {
    this.metrics.standings.inc({ protocol: key });
    return this.activeVersionRepository.countChange(tx, key);
  }

  /** The active version of a protocol, locked against changes until the transaction ends. */
  async lockShared(tx: Transaction, key: string): Promise<ActiveProtocol> {
    const row = await this.activeVersionRepository.lockShared(tx, key);
    if (!row) throw new Error(`protocol ${key} has no active version`);
    return this.withDocument(row, tx);
  }

  /** The document that a run is evaluated under: the active version, or the newer one that it was uploaded under. */
  async versionFor(key: string, uploadedUnder: number): Promise<ProtocolDocument> {
    const row = (await this.activeVersionRepository.list()).find((one) => one.key === key);
    return this.document(key, Math.max(row?.version ?? 1, uploadedUnder));
  }

  /** The document of a version that is published. */
  document(key: string, version: number): Promise<ProtocolDocument> {
    return this.activeVersionRepository.document(key, version);
  }

  /** The active version of a protocol, locked so that no run is accepted and no evaluation stored until the transaction ends. */
  lockExclusive(tx: Transaction, key: string): Promise<ActiveVersionRow> {
    return this.activeVersionRepository.lockExclusive(tx, key);
  }

  /** Makes another version the active one; it is locked exclusively before. */
  set(tx: Transaction, row: ActiveVersionRow): Promise<void> {
    return this.activeVersionRepository.set(tx, row);
  }

  /** Makes the newest version the active one of protocols that have none yet. */
  insertMissing(documents: readonly ProtocolDocument[]): Promise<void> {
    const newest = newestOf(documents);
    return this.activeVersionRepository.insertMissing(
      newest.map(({ key, version }) => ({ key, version, computationVersion: COMPUTATION_VERSION })),
    );
  }

  private async withDocument(
    { key, version, computationVersion }: ActiveVersionRow,
    tx?: Transaction,
  ): Promise<ActiveProtocol> {
    return { protocol: await this.activeVersionRepository.document(key, version, tx), computationVersion };
  }
}

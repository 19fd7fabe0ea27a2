import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { Database, type Transaction } from "../../platform/database/database.js";

/** Under which version of a protocol and of the computation runs count. */
export interface CountingRow {
  readonly key: string;
  readonly version: number;
  readonly computationVersion: string;
}

@Injectable()
export class CountingRepository {
  /** By key and version; a published document never changes. */
  private readonly documents = new Map<string, ProtocolDocument>();

  constructor(private readonly database: Database) {}

  list(tx: Transaction = this.database): Promise<CountingRow[]> {
    return tx.$queryRaw<CountingRow[]>`
      SELECT protocol_key AS key, protocol_version AS version, computation_version AS "computationVersion"
      FROM counting_version`;
  }

  /** What counts for a protocol, kept as it is until the transaction ends. */
  async hold(tx: Transaction, key: string): Promise<CountingRow | null> {
    const rows = await tx.$queryRaw<CountingRow[]>`
      SELECT protocol_key AS key, protocol_version AS version, computation_version AS "computationVersion"
      FROM counting_version WHERE protocol_key = ${key} FOR SHARE`;
    return rows[0] ?? null;
  }

  /** Takes what counts for a protocol, so that nothing is counted until the transaction ends. */
  async take(tx: Transaction, key: string): Promise<CountingRow> {
    const rows = await tx.$queryRaw<CountingRow[]>`
      SELECT protocol_key AS key, protocol_version AS version, computation_version AS "computationVersion"
      FROM counting_version WHERE protocol_key = ${key} FOR UPDATE`;
    const [row] = rows;
    if (!row) throw new Error(`no version of protocol ${key} counts`);
    return row;
  }

  async set(tx: Transaction, { key, version, computationVersion }: CountingRow): Promise<void> {
    const data = { protocolVersion: version, computationVersion, since: new Date() };
    await tx.countingVersion.update({ where: { protocolKey: key }, data });
  }

  /** Says what counts for protocols of which nothing does yet. */
  async insertMissing(rows: readonly CountingRow[]): Promise<void> {
    const data = rows.map(({ key, version, computationVersion }) => ({
      protocolKey: key,
      protocolVersion: version,
      computationVersion,
    }));
    await this.database.countingVersion.createMany({ data, skipDuplicates: true });
  }

  async document(key: string, version: number): Promise<ProtocolDocument> {
    const name = `${key} ${version}`;
    const known = this.documents.get(name);
    if (known) return known;
    const stored = await this.database.protocol.findUniqueOrThrow({ where: { key_version: { key, version } } });
    const document = stored.document as unknown as ProtocolDocument;
    this.documents.set(name, document);
    return document;
  }
}

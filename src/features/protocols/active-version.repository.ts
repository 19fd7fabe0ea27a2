import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { Database, type Transaction } from "../../platform/database/database.js";

/** The active version of a protocol and of the computation. */
export interface ActiveVersionRow {
  readonly key: string;
  readonly version: number;
  readonly computationVersion: number;
}

/** The same, with how often the rankings have changed. */
export interface RankedVersionRow extends ActiveVersionRow {
  readonly revision: string;
}

const REVISIONS = `
  SELECT active.protocol_key AS key, active.protocol_version AS version,
    active.computation_version AS "computationVersion", coalesce(ranking.revision, 0)::text AS revision
  FROM active_version AS active
  LEFT JOIN ranking_revision AS ranking ON ranking.protocol_key = active.protocol_key
  ORDER BY active.protocol_key`;

@Injectable()
export class ActiveVersionRepository {
  /** By key and version; a published document never changes. */
  private readonly documents = new Map<string, ProtocolDocument>();

  constructor(private readonly database: Database) {}

  list(tx: Transaction = this.database): Promise<ActiveVersionRow[]> {
    return tx.$queryRaw<ActiveVersionRow[]>`
      SELECT protocol_key AS key, protocol_version AS version, computation_version AS "computationVersion"
      FROM active_version`;
  }

  /** With what changes whenever a ranking of the protocol does. */
  listRevisions(): Promise<RankedVersionRow[]> {
    return this.database.prepared<RankedVersionRow>("ranking-revisions", REVISIONS, []);
  }

  /** Counts a change of a protocol's rankings; the last lock that is taken before the audit log's. */
  async countChange(tx: Transaction, key: string): Promise<void> {
    await tx.$executeRaw`
      INSERT INTO ranking_revision AS ranking (protocol_key, revision) VALUES (${key}, 1)
      ON CONFLICT (protocol_key) DO UPDATE SET revision = ranking.revision + 1`;
  }

  /** The active version of a protocol, locked against changes until the transaction ends. */
  async lockShared(tx: Transaction, key: string): Promise<ActiveVersionRow | null> {
    const rows = await tx.$queryRaw<ActiveVersionRow[]>`
      SELECT protocol_key AS key, protocol_version AS version, computation_version AS "computationVersion"
      FROM active_version WHERE protocol_key = ${key} FOR SHARE`;
    return rows[0] ?? null;
  }

  /** The active version of a protocol, locked exclusively until the transaction ends. */
  async lockExclusive(tx: Transaction, key: string): Promise<ActiveVersionRow> {
    const rows = await tx.$queryRaw<ActiveVersionRow[]>`
      SELECT protocol_key AS key, protocol_version AS version, computation_version AS "computationVersion"
      FROM active_version WHERE protocol_key = ${key} FOR UPDATE`;
    const [row] = rows;
    if (!row) throw new Error(`protocol ${key} has no active version`);
    return row;
  }

  async set(tx: Transaction, { key, version, computationVersion }: ActiveVersionRow): Promise<void> {
    const data = { protocolVersion: version, computationVersion, since: new Date() };
    await tx.activeVersion.update({ where: { protocolKey: key }, data });
  }

  /** Sets the active version of protocols that have none yet. */
  async insertMissing(rows: readonly ActiveVersionRow[]): Promise<void> {
    const data = rows.map(({ key, version, computationVersion }) => ({
      protocolKey: key,
      protocolVersion: version,
      computationVersion,
    }));
    await this.database.activeVersion.createMany({ data, skipDuplicates: true });
  }

  async document(key: string, version: number, tx: Transaction = this.database): Promise<ProtocolDocument> {
    const name = `${key} ${version}`;
    const known = this.documents.get(name);
    if (known) return known;
    const stored = await tx.protocol.findUniqueOrThrow({ where: { key_version: { key, version } } });
    const document = stored.document as unknown as ProtocolDocument;
    this.documents.set(name, document);
    return document;
  }
}

import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { Prisma, Protocol } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import type { Window } from "../../platform/paging/page.js";

@Injectable()
export class ProtocolsRepository {
  constructor(private readonly database: Database) {}

  /** Stores what is not stored yet; servers that start together do not disturb each other. */
  async insertMissing(documents: readonly ProtocolDocument[]): Promise<void> {
    const data = documents.map((document) => ({
      key: document.key,
      version: document.version,
      document: document as unknown as Prisma.InputJsonObject,
    }));
    await this.database.protocol.createMany({ data, skipDuplicates: true });
  }

  /** Publishes a version; false when that version was published meanwhile. */
  async insert(tx: Transaction, document: ProtocolDocument, publishedById: string): Promise<boolean> {
    const { key, version } = document;
    const data = { key, version, publishedById, document: document as unknown as Prisma.InputJsonObject };
    return (await tx.protocol.createMany({ data: [data], skipDuplicates: true })).count === 1;
  }

  async find(key: string, version: number): Promise<Protocol | null> {
    return this.database.protocol.findUnique({ where: { key_version: { key, version } } });
  }

  async findNewest(key: string): Promise<Protocol | null> {
    return this.database.protocol.findFirst({ where: { key }, orderBy: { version: "desc" } });
  }

  /** The newest version of each, by key. */
  async listNewest({ after, before, backward, take }: Window): Promise<Protocol[]> {
    const behind = after ? { gt: String(after[0]) } : {};
    const ahead = before ? { lt: String(before[0]) } : {};
    return this.database.protocol.findMany({
      where: { key: { ...behind, ...ahead } },
      distinct: ["key"],
      orderBy: [{ key: backward ? "desc" : "asc" }, { version: "desc" }],
      take,
    });
  }

  async countKeys(): Promise<number> {
    return (await this.database.protocol.groupBy({ by: ["key"] })).length;
  }
}

import { createHash } from "node:crypto";
import { Injectable } from "@nestjs/common";
import type { SavedColumnMap } from "../../core/model.js";
import type { ColumnMap, Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";

export type ColumnMapCreation = { readonly created: ColumnMap } | { readonly existingId: string | null };

@Injectable()
export class ColumnMapsRepository {
  constructor(private readonly database: Database) {}

  async create({ label, header, columns }: SavedColumnMap, ownerId: string): Promise<ColumnMapCreation> {
    const headerSha256 = createHash("sha256").update(JSON.stringify(header)).digest();
    const data = { ownerId, label, header: [...header], headerSha256, columns: columns as Prisma.InputJsonObject };
    try {
      return { created: await this.database.columnMap.create({ data }) };
    } catch (error) {
      if (!isDuplicate(error)) throw error;
      const existing = await this.database.columnMap.findFirst({ where: { ownerId, headerSha256 } });
      return { existingId: existing?.id ?? null };
    }
  }

  count(ownerId: string): Promise<number> {
    return this.database.columnMap.count({ where: { ownerId } });
  }

  findOwn(id: string, ownerId: string): Promise<ColumnMap | null> {
    return this.database.columnMap.findFirst({ where: { id, ownerId } });
  }

  /** In the order in which they were saved. */
  listOwn(ownerId: string, window: Window): Promise<ColumnMap[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.columnMap.findMany({ where: { ownerId, ...where }, ...page });
  }

  countOwn(ownerId: string): Promise<number> {
    return this.database.columnMap.count({ where: { ownerId } });
  }

  async removeOwn(id: string, ownerId: string): Promise<boolean> {
    return (await this.database.columnMap.deleteMany({ where: { id, ownerId } })).count === 1;
  }
}

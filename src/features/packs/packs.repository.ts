import { Injectable } from "@nestjs/common";
import type { Pack, Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { containing } from "../../platform/database/patterns.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import type { PackInput, PacksArgs } from "./packs.views.js";

/** Which packs a list shows. */
export type PacksFilter = Pick<PacksArgs, "chemistry" | "series" | "search">;

@Injectable()
export class PacksRepository {
  constructor(private readonly database: Database) {}

  /** Null when the record has this product already. */
  async create(pack: PackInput, createdById: string): Promise<Pack | null> {
    const { labelContinuousC = null, labelBurstC = null, massGrams = null } = pack;
    const { connector = null, leadGaugeAwg = null, leadAreaMm2 = null } = pack;
    const leads = { connector, leadGaugeAwg, leadAreaMm2 };
    try {
      return await this.database.pack.create({
        data: { ...pack, labelContinuousC, labelBurstC, massGrams, ...leads, createdById },
      });
    } catch (error) {
      if (isDuplicate(error)) return null;
      throw error;
    }
  }

  async idOfSameProduct({ maker, name, series, parallel, ratedCapacityMah }: PackInput): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT id::text FROM pack
      WHERE lower(maker) = lower(${maker}) AND lower(name) = lower(${name})
        AND series = ${series} AND parallel = ${parallel} AND rated_capacity_mah = ${ratedCapacityMah}`;
    return rows[0]?.id ?? null;
  }

  async find(id: string): Promise<Pack | null> {
    return this.database.pack.findUnique({ where: { id } });
  }

  async findAll(ids: readonly string[]): Promise<Pack[]> {
    return this.database.pack.findMany({ where: { id: { in: [...ids] } } });
  }

  /** In the order in which they were registered. */
  async list(filter: PacksFilter, window: Window): Promise<Pack[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.pack.findMany({ where: { AND: [...conditionsOf(filter), where] }, ...page });
  }

  async count(filter: PacksFilter): Promise<number> {
    return this.database.pack.count({ where: { AND: conditionsOf(filter) } });
  }
}

function conditionsOf({ chemistry, series, search }: PacksFilter): Prisma.PackWhereInput[] {
  const words = search?.split(/\s+/) ?? [];
  return [
    ...(chemistry ? [{ chemistry }] : []),
    ...(series ? [{ series }] : []),
    ...words.map((word) => ({ OR: [{ maker: containing(word) }, { name: containing(word) }] })),
  ];
}

import { Injectable } from "@nestjs/common";
import type { DeclaredPack } from "../../core/inputs/pack.js";
import { matchKey, NAME_KEY_VERSION } from "../../core/register/pack-name.js";
import type { PackStatus } from "../../core/register/pack-status.js";
import type { Pack, Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { containing } from "../../platform/database/rows/patterns.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import type { PacksArgs } from "./packs.views.js";

/** Which packs a list shows: `ids` are the only ones, where it is not null. */
export interface PacksFilter extends Pick<PacksArgs, "chemistry" | "series" | "status" | "search"> {
  readonly ids: readonly string[] | null;
}

@Injectable()
export class PacksRepository {
  constructor(private readonly database: Database) {}

  /**
   * @param before done in the same transaction, and undone with it when it throws
   * @returns null when the record has this product already
   */
  async create(
    pack: DeclaredPack,
    createdById: string,
    before: (tx: Transaction) => Promise<void>,
  ): Promise<Pack | null> {
    const { labelContinuousC, labelBurstC, massGrams } = pack;
    const { connector = null, leadGaugeAwg = null, leadAreaMm2 = null } = pack;
    const leads = { connector, leadGaugeAwg, leadAreaMm2 };
    const key = { matchKey: matchKey(pack), matchKeyVersion: NAME_KEY_VERSION };
    try {
      return await this.database.$transaction(async (tx) => {
        await before(tx);
        return tx.pack.create({
          data: { ...pack, labelContinuousC, labelBurstC, massGrams, ...leads, ...key, createdById },
        });
      });
    } catch (error) {
      if (isDuplicate(error)) return null;
      throw error;
    }
  }

  async mergedInto(id: string): Promise<string | null> {
    const pack = await this.database.pack.findUnique({ where: { id }, select: { mergedIntoId: true } });
    return pack?.mergedIntoId ?? null;
  }

  /** Packs that lead to one, in the order in which they were registered. */
  mergedInPack(mergedIntoId: string, window: Window): Promise<Pack[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.pack.findMany({ where: { AND: [{ mergedIntoId }, where] }, ...page });
  }

  countMergedInPack(mergedIntoId: string): Promise<number> {
    return this.database.pack.count({ where: { mergedIntoId } });
  }

  /** Of each pack that is shown its own id, or that of the pack that it was merged into. */
  async current(ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
    const packs = await this.database.pack.findMany({
      where: { id: { in: [...ids] }, hiddenAt: null },
      select: { id: true, mergedIntoId: true },
    });
    return new Map(packs.map(({ id, mergedIntoId }) => [id, mergedIntoId ?? id]));
  }

  async idOfSameProduct({ maker, name, series, parallel, ratedCapacityMah }: DeclaredPack): Promise<string | null> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT coalesce(merged_into_id, id)::text AS id FROM pack
      WHERE lower(maker) = lower(${maker}) AND lower(name) = lower(${name})
        AND series = ${series} AND parallel = ${parallel} AND rated_capacity_mah = ${ratedCapacityMah}`;
    return rows[0]?.id ?? null;
  }

  /** What changes whenever a pack is added or changed. */
  async revision(): Promise<string> {
    const rows = await this.database.$queryRaw<{ revision: string }[]>`SELECT revision::text FROM pack_revision`;
    return rows[0]?.revision ?? "";
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

  async any(filter: PacksFilter): Promise<boolean> {
    const found = await this.database.pack.findFirst({ where: { AND: conditionsOf(filter) }, select: { id: true } });
    return found !== null;
  }
}

/** Hidden packs are left out whatever is asked for, so that the last one finds none. */
const STATUS_CONDITIONS: Readonly<Record<PackStatus, Prisma.PackWhereInput>> = {
  proposed: { confirmedAt: null },
  confirmed: { confirmedAt: { not: null } },
  hidden: { hiddenAt: { not: null } },
};

function conditionsOf({ chemistry, series, status, search, ids }: PacksFilter): Prisma.PackWhereInput[] {
  const words = search?.split(/\s+/) ?? [];
  return [
    { hiddenAt: null, mergedIntoId: null },
    ...(chemistry ? [{ chemistry }] : []),
    ...(series ? [{ series }] : []),
    ...(status ? [STATUS_CONDITIONS[status]] : []),
    ...(ids ? [{ id: { in: [...ids] } }] : []),
    ...(ids ? [] : words.map((word) => ({ OR: [{ maker: containing(word) }, { name: containing(word) }] }))),
  ];
}

import { Injectable } from "@nestjs/common";
import { matchKey, NAME_KEY_VERSION, searchWords } from "../../core/register/pack-name.js";
import { Prisma } from "../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../../platform/database/advisory-locks.js";
import { Database, type Transaction } from "../../platform/database/database.js";

/** What a registered pack is told apart by. */
export interface RegisteredName {
  readonly id: string;
  readonly maker: string;
  readonly name: string;
  readonly series: number;
  readonly ratedCapacityMah: number;
}

/** Packs whose keys are made anew in one statement. */
const PACKS_AT_ONCE = 500;
/** Most packs that are looked at for one that is registered, the most similar ones. */
const MAX_LOOKED_AT = 100;

/** Shortest word that is sought by its letters. */
const MIN_LETTERS = 3;
/** How much of a misspelt word has to stand in a name, of 1. Common practice, no published source. */
const MIN_WORD_SIMILARITY = "0.5";
/** Most packs that a misspelt search finds. */
const MAX_LIKE = 500;

/** Looks packs up by the sequences of three letters in their names. */
@Injectable()
export class SimilarPacksRepository {
  constructor(private readonly database: Database) {}

  /** Waits until no other transaction registers a pack. */
  async lockRegister(tx: Transaction): Promise<void> {
    await tx.$executeRaw`SELECT pg_advisory_xact_lock(${ADVISORY_LOCKS.registerPack}::bigint)`;
  }

  /** Packs of as many cells in series whose names share letters with a pack's, the most similar ones first. */
  find(pack: Omit<RegisteredName, "id">, tx: Transaction = this.database): Promise<RegisteredName[]> {
    const key = matchKey(pack);
    return tx.$queryRaw<RegisteredName[]>`
      SELECT id::text, maker, name, series, rated_capacity_mah AS "ratedCapacityMah" FROM pack
      WHERE match_key % ${key} AND series = ${pack.series} AND hidden_at IS NULL AND merged_into_id IS NULL
      ORDER BY similarity(match_key, ${key}) DESC, id LIMIT ${MAX_LOOKED_AT}`;
  }

  /** Packs in whose names each word stands in much the same letters, the most similar ones. Words under three letters are not sought. */
  async idsLike(search: string): Promise<string[]> {
    const words = searchWords(search).filter((word) => word.length >= MIN_LETTERS);
    if (words.length === 0) return [];
    const conditions = words.map((word) => Prisma.sql`${word} <% match_key`);
    const rows = await this.database.$transaction(async (tx) => {
      await tx.$executeRaw`SELECT set_config('pg_trgm.word_similarity_threshold', ${MIN_WORD_SIMILARITY}, true)`;
      return tx.$queryRaw<{ id: string }[]>`
        SELECT id::text FROM pack WHERE ${Prisma.join(conditions, " AND ")}
        ORDER BY word_similarity(${words.join(" ")}, match_key) DESC, id LIMIT ${MAX_LIKE}`;
    });
    return rows.map(({ id }) => id);
  }

  /** Makes the keys anew that an older program made, or none. */
  async updateKeys(): Promise<void> {
    for (;;) {
      const packs = await this.database.pack.findMany({
        where: { matchKeyVersion: { lt: NAME_KEY_VERSION } },
        select: { id: true, maker: true, name: true, ratedCapacityMah: true },
        take: PACKS_AT_ONCE,
      });
      if (packs.length === 0) return;
      await this.database.$executeRaw`
        UPDATE pack SET match_key = made.key, match_key_version = ${NAME_KEY_VERSION}
        FROM unnest(${packs.map(({ id }) => id)}::uuid[], ${packs.map(matchKey)}::text[]) AS made (id, key)
        WHERE pack.id = made.id`;
    }
  }
}

import { Injectable } from "@nestjs/common";
import { LRUCache } from "lru-cache";
import type { FigureRankings } from "../../../core/ranking/figure-rankings.js";
import { asPreparation } from "../../../platform/database/reads/read-limit.js";
import { readSource } from "../../../platform/database/reads/read-source.js";
import { SharedRead } from "../../../platform/database/reads/shared-read.js";
import { Problem } from "../../../platform/problems/problem.js";
import { type RankedFigureKey, RankingOrdersRepository } from "./ranking-orders.repository.js";

/** Most bytes of rankings that are held in memory; those longest unasked for go first. */
const MAX_BYTES = 160 * 1024 * 1024;
/** Rankings that wait to be read, or are. */
const MAX_WAITING = 64;

/** Rankings in memory, with what brings them up to date. */
interface HeldRankings {
  readonly rankings: FigureRankings;
  /** Brings them to the present revision; false when they have to be read anew. */
  readonly update: SharedRead<boolean>;
}

/**
 * Holds rankings in memory, sorted, and brings them to the present revision at each read, by what has changed since the
 * last one. They stand in no need of messages: each process is exact at the revision it states, and holds those of each source apart.
 */
@Injectable()
export class RankingOrdersService {
  private readonly held = new LRUCache<string, HeldRankings>({ maxSize: MAX_BYTES });
  private readonly loading = new Map<string, Promise<HeldRankings>>();
  /** Loads come one after the other. */
  private lastLoad: Promise<unknown> = Promise.resolve();

  constructor(private readonly rankingOrdersRepository: RankingOrdersRepository) {}

  /** Rankings by a figure no older than this call, or as they stood at an instant in the past. */
  async at(ranked: RankedFigureKey, instant: Date | null): Promise<FigureRankings> {
    const key = JSON.stringify([readSource(), ranked.protocolKey, ranked.figure, instant]);
    const held = this.held.get(key) ?? (await this.load(key, ranked, instant));
    if (await held.update.get()) return held.rankings;
    this.held.delete(key);
    return this.at(ranked, instant);
  }

  private load(key: string, ranked: RankedFigureKey, instant: Date | null): Promise<HeldRankings> {
    const known = this.loading.get(key);
    if (known) return known;
    if (this.loading.size >= MAX_WAITING) {
      throw new Problem("too-busy", "Too many rankings of other days are read already. Ask again later.");
    }
    const loading = asPreparation(() => this.lastLoad.then(() => this.read(ranked, instant)))
      .then((held) => {
        // What is larger than all that is held otherwise is held alone.
        this.held.set(key, held, { size: Math.min(Math.max(1, held.rankings.bytes), MAX_BYTES) });
        return held;
      })
      .finally(() => this.loading.delete(key));
    this.lastLoad = loading.catch(() => {});
    this.loading.set(key, loading);
    return loading;
  }

  private async read(ranked: RankedFigureKey, instant: Date | null): Promise<HeldRankings> {
    const repository = this.rankingOrdersRepository;
    const rankings = await (instant ? repository.loadAsOf(ranked, instant) : repository.load(ranked));
    let seen = rankings.revision;
    const update = new SharedRead(async () => {
      const { revision, changes } = await repository.changesSince(ranked, seen);
      if (!changes) return false;
      seen = revision;
      if (instant) rankings.correct(changes);
      else rankings.apply(revision, changes);
      return true;
    });
    return { rankings, update };
  }
}

import { ChangingOrder, countPart, partOf, type RankedValue } from "./changing-order.js";
import { PlaceFinder, type RankedOrder } from "./ranked-order.js";
import { type PackFilter, type RankedPackFacts, RankedPacks } from "./ranked-packs.js";

/** What a pack stands with at one load. */
export interface RankedStanding extends RankedValue {
  /** The standard load, A; 0 under the runs' own loads. */
  readonly load: number;
}

/** Where a pack stands now, at every load; without facts when there is no such pack any more. */
export interface RankingChange {
  readonly id: string;
  readonly facts: RankedPackFacts | null;
  readonly standings: readonly RankedStanding[];
}

/** The part of a ranking that a class is, ready to find places in. */
export interface RankingClassOrder {
  readonly order: RankedOrder;
  readonly finder: PlaceFinder;
}

export interface LoadCount {
  readonly load: number;
  readonly standings: number;
  readonly established: number;
}

/** How places are told: the factor of uncertainties, and how many ties are named. */
export interface PlaceRules {
  readonly k: number;
  readonly tiesNamed: number;
}

/** Bytes of classes that are kept prepared beside the rankings themselves. */
const PREPARED_BYTES = 64 * 1024 * 1024;

/** The rankings by one figure at every load, as of one revision. */
export class FigureRankings {
  readonly packs = new RankedPacks();
  private readonly orders = new Map<number, ChangingOrder>();
  private readonly classes = new Map<string, RankingClassOrder>();
  private readonly counts = new Map<string, readonly LoadCount[]>();
  private preparedBytes = 0;

  constructor(
    /** The revision that they stand at. */
    public revision: number,
    private readonly rules: PlaceRules,
  ) {}

  /** About the bytes that they take, what is prepared apart. */
  get bytes(): number {
    return [...this.orders.values()].reduce((sum, { bytes }) => sum + bytes, this.packs.bytes);
  }

  /** Adds a standing of a first load, in the order of the ranking at its load. */
  append(pack: number, standing: RankedStanding): void {
    this.orderAt(standing.load).append(pack, standing);
  }

  /** Brings the rankings to a later revision. */
  apply(revision: number, changes: readonly RankingChange[]): void {
    this.revision = revision;
    if (changes.length === 0) return;
    for (const { facts, id, standings } of changes) {
      const pack = facts ? this.packs.put(facts) : this.packs.numberOf(id);
      if (pack < 0) continue;
      for (const { load } of standings) this.orderAt(load);
      for (const [load, order] of this.orders) order.set(pack, standings.find((one) => one.load === load) ?? null);
    }
    this.forgetPrepared();
  }

  /** Takes up what is known of packs now, and leaves their standings as they were. */
  correct(changes: readonly RankingChange[]): void {
    for (const { facts, id } of changes) if (facts && this.packs.numberOf(id) >= 0) this.packs.put(facts);
    if (changes.length > 0) this.forgetPrepared();
  }

  /** The standings of a class at a load. */
  classAt(load: number, filter: PackFilter, establishedOnly: boolean): RankingClassOrder {
    const key = JSON.stringify([load, filter, establishedOnly]);
    const known = this.classes.get(key);
    if (known) return known;
    const order = partOf(this.orderAt(load), this.packs.kept(filter), establishedOnly);
    const finder = new PlaceFinder(order, this.packs.compare, this.rules.k, this.rules.tiesNamed);
    const prepared = { order, finder };
    this.preparedBytes += order.length * 20;
    if (this.preparedBytes > PREPARED_BYTES) this.forgetPrepared();
    this.classes.set(key, prepared);
    return prepared;
  }

  /** The loads at which packs of a class stand, in rising order. */
  loadsOf(filter: PackFilter): readonly LoadCount[] {
    const key = JSON.stringify(filter);
    const known = this.counts.get(key);
    if (known) return known;
    const keep = this.packs.kept(filter);
    const counts = [...this.orders]
      .map(([load, order]) => ({ load, ...countPart(order, keep) }))
      .filter(({ standings }) => standings > 0)
      .sort((a, b) => a.load - b.load);
    this.counts.set(key, counts);
    return counts;
  }

  private orderAt(load: number): ChangingOrder {
    let order = this.orders.get(load);
    if (!order) {
      order = new ChangingOrder(this.packs.compare);
      this.orders.set(load, order);
    }
    return order;
  }

  private forgetPrepared(): void {
    this.classes.clear();
    this.counts.clear();
    this.preparedBytes = 0;
  }
}

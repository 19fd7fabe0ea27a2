import { ChangingOrder, countPart, partOf, type RankedValue, type StandingsShown } from "./changing-order.js";
import { indexIn, PlaceFinder, type RankedOrder, type RankedPlace } from "./ranked-order.js";
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

/** The standings of a class that are listed, and where those of them stand that have a place. */
export interface RankingClassOrder {
  readonly order: RankedOrder;
  /** The place of the standing at an index of the order, among the established ones; null for a provisional one. */
  readonly placeAt: (index: number) => RankedPlace | null;
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
  private readonly finders = new Map<string, { readonly order: RankedOrder; readonly finder: PlaceFinder }>();
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
  classAt(load: number, filter: PackFilter, shown: StandingsShown): RankingClassOrder {
    const key = JSON.stringify([load, filter, shown]);
    const known = this.classes.get(key);
    if (known) return known;
    const { order: established, finder } = this.establishedAt(load, filter);
    if (shown === "established") return this.prepare(key, { order: established, placeAt: (i) => finder.placeAt(i) });
    const order = this.part(load, filter, shown);
    const placeAt = (index: number) => {
      const pack = order.packs[index] as number;
      const own = indexIn(established, order.values[index] as number, (other) => this.packs.compare(pack, other));
      return own < established.length && established.packs[own] === pack ? finder.placeAt(own) : null;
    };
    return this.prepare(key, { order, placeAt });
  }

  /** How many standings of a class there are at a load, and how many of them are established. */
  countsAt(load: number, filter: PackFilter): LoadCount {
    return this.loadsOf(filter).find((one) => one.load === load) ?? { load, standings: 0, established: 0 };
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

  private establishedAt(load: number, filter: PackFilter) {
    const key = JSON.stringify([load, filter]);
    const known = this.finders.get(key);
    if (known) return known;
    const order = this.part(load, filter, "established");
    const finder = new PlaceFinder(order, this.packs.compare, this.rules.k, this.rules.tiesNamed);
    const prepared = { order, finder };
    this.finders.set(key, prepared);
    return prepared;
  }

  private part(load: number, filter: PackFilter, shown: StandingsShown): RankedOrder {
    const order = partOf(this.orderAt(load), this.packs.kept(filter), shown);
    this.preparedBytes += order.length * 20;
    if (this.preparedBytes > PREPARED_BYTES) this.forgetPrepared();
    return order;
  }

  private prepare(key: string, prepared: RankingClassOrder): RankingClassOrder {
    this.classes.set(key, prepared);
    return prepared;
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
    this.finders.clear();
    this.counts.clear();
    this.preparedBytes = 0;
  }
}

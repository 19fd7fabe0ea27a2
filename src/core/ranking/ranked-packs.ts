/** What rankings are filtered by of a pack. */
export interface RankedPackFacts {
  readonly id: string;
  readonly chemistry: string;
  readonly series: number;
  /** mAh */
  readonly ratedCapacityMah: number;
  readonly massGrams: number | null;
  readonly connector: string | null;
  readonly maker: string;
}

/** Which packs a ranking is among; an empty list and null leave all. Words are compared whatever their case. */
export interface PackFilter {
  readonly chemistries: readonly string[];
  readonly series: readonly number[];
  readonly makers: readonly string[];
  readonly connectors: readonly string[];
  /** Inclusive, mAh. */
  readonly capacityMin: number | null;
  readonly capacityMax: number | null;
  /** Inclusive, g; packs of unknown mass are outside. */
  readonly massMin: number | null;
  readonly massMax: number | null;
}

const ID_WORDS = 4;
const INITIAL_PACKS = 64;
const NO_WORD = 0;

/** Packs by number, from 0 in the order in which they came, with what they are filtered by in columns. */
export class RankedPacks {
  length = 0;
  /** Ids as four words of 32 bits each, whose order is that of the ids. */
  private ids = new Uint32Array(INITIAL_PACKS * ID_WORDS);
  /** Numbers + 1 by hash of the id, 0 where there is none; half of it is empty at least. */
  private slots = new Int32Array(INITIAL_PACKS * 4);
  private chemistries = new Int32Array(INITIAL_PACKS);
  private series = new Int32Array(INITIAL_PACKS);
  private makers = new Int32Array(INITIAL_PACKS);
  private connectors = new Int32Array(INITIAL_PACKS);
  private capacities = new Float64Array(INITIAL_PACKS);
  private masses = new Float64Array(INITIAL_PACKS);
  private readonly words = new Map<string, number>();

  /** About the bytes that they take. */
  get bytes(): number {
    return this.series.length * 48 + this.slots.length * 4;
  }

  readonly compare = (a: number, b: number): number => {
    for (let word = 0; word < ID_WORDS; word++) {
      const difference = (this.ids[a * ID_WORDS + word] as number) - (this.ids[b * ID_WORDS + word] as number);
      if (difference !== 0) return difference;
    }
    return 0;
  };

  /** Compares an id with those of packs. */
  comparing(id: string): (pack: number) => number {
    const words = wordsOf(id);
    return (pack) => {
      for (let word = 0; word < ID_WORDS; word++) {
        const difference = (words[word] as number) - (this.ids[pack * ID_WORDS + word] as number);
        if (difference !== 0) return difference;
      }
      return 0;
    };
  }

  idOf(pack: number): string {
    const words = [...this.ids.subarray(pack * ID_WORDS, (pack + 1) * ID_WORDS)];
    const hex = words.map((word) => word.toString(16).padStart(8, "0")).join("");
    return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
  }

  /** The number of the pack with an id; -1 when it is not here. */
  numberOf(id: string): number {
    return this.find(wordsOf(id));
  }

  /** Takes up a pack, or what is known of it now, and gives its number. */
  put(facts: RankedPackFacts): number {
    const words = wordsOf(facts.id);
    let pack = this.find(words);
    if (pack < 0) {
      this.reserve(this.length + 1);
      pack = this.length++;
      this.ids.set(words, pack * ID_WORDS);
      this.slots[this.slotOf(words)] = pack + 1;
    }
    this.chemistries[pack] = this.wordOf(facts.chemistry);
    this.series[pack] = facts.series;
    this.makers[pack] = this.wordOf(facts.maker);
    this.connectors[pack] = facts.connector === null ? NO_WORD : this.wordOf(facts.connector);
    this.capacities[pack] = facts.ratedCapacityMah;
    this.masses[pack] = facts.massGrams ?? Number.NaN;
    return pack;
  }

  /** 1 for each pack that a filter keeps; null when it keeps all. */
  kept(filter: PackFilter): Uint8Array | null {
    const { capacityMin, capacityMax, massMin, massMax } = filter;
    const keep = new Uint8Array(this.length).fill(1);
    const passes = [
      this.keepWords(keep, this.chemistries, filter.chemistries),
      this.keepWords(keep, this.makers, filter.makers),
      this.keepWords(keep, this.connectors, filter.connectors),
      keepListed(keep, this.series, filter.series),
      keepBand(keep, this.capacities, capacityMin, capacityMax),
      keepBand(keep, this.masses, massMin, massMax),
    ];
    return passes.some((narrows) => narrows) ? keep : null;
  }

  private find(words: Uint32Array): number {
    return (this.slots[this.slotOf(words)] as number) - 1;
  }

  private keepWords(keep: Uint8Array, column: Int32Array, words: readonly string[]): boolean {
    const known = words.map((word) => this.words.get(word.toLowerCase()) ?? Number.NaN);
    return keepListed(keep, column, known);
  }

  private wordOf(text: string): number {
    const key = text.toLowerCase();
    let word = this.words.get(key);
    if (word === undefined) {
      word = this.words.size + 1;
      this.words.set(key, word);
    }
    return word;
  }

  /** Where a pack's number is kept, or would be. */
  private slotOf(words: Uint32Array): number {
    const mask = this.slots.length - 1;
    // The last bits of an id are its most random ones.
    let slot = (Math.imul(words[3] as number, 0x9e3779b1) ^ (words[2] as number)) & mask;
    while (this.slots[slot] !== 0) {
      const pack = (this.slots[slot] as number) - 1;
      let word = 0;
      while (word < ID_WORDS && this.ids[pack * ID_WORDS + word] === words[word]) word++;
      if (word === ID_WORDS) return slot;
      slot = (slot + 1) & mask;
    }
    return slot;
  }

  private reserve(packs: number): void {
    if (packs <= this.series.length) return;
    const size = this.series.length * 2;
    this.ids = grown(this.ids, new Uint32Array(size * ID_WORDS));
    this.chemistries = grown(this.chemistries, new Int32Array(size));
    this.series = grown(this.series, new Int32Array(size));
    this.makers = grown(this.makers, new Int32Array(size));
    this.connectors = grown(this.connectors, new Int32Array(size));
    this.capacities = grown(this.capacities, new Float64Array(size));
    this.masses = grown(this.masses, new Float64Array(size));
    this.slots = new Int32Array(size * 4);
    for (let pack = 0; pack < this.length; pack++) {
      this.slots[this.slotOf(this.ids.subarray(pack * ID_WORDS, (pack + 1) * ID_WORDS))] = pack + 1;
    }
  }
}

/** A UUID as four words of 32 bits. */
function wordsOf(id: string): Uint32Array {
  const hex = id.replaceAll("-", "");
  return Uint32Array.from({ length: ID_WORDS }, (_, word) => Number.parseInt(hex.slice(word * 8, word * 8 + 8), 16));
}

function grown<T extends Uint32Array | Int32Array | Float64Array>(from: T, to: T): T {
  to.set(from);
  return to;
}

function keepListed(keep: Uint8Array, column: Int32Array, listed: readonly number[]): boolean {
  if (listed.length === 0) return false;
  const wanted = new Set(listed);
  for (let i = 0; i < keep.length; i++) if (!wanted.has(column[i] as number)) keep[i] = 0;
  return true;
}

function keepBand(keep: Uint8Array, column: Float64Array, min: number | null, max: number | null): boolean {
  if (min === null && max === null) return false;
  const from = min ?? Number.NEGATIVE_INFINITY;
  const to = max ?? Number.POSITIVE_INFINITY;
  for (let i = 0; i < keep.length; i++) {
    const value = column[i] as number;
    // Not a number is outside every band.
    if (!(value >= from && value <= to)) keep[i] = 0;
  }
  return true;
}

import type { ChangeMark } from "../changes/changes.service.js";
import type { DatasetStore } from "./dataset-store.js";
import { FORMATS, type Part } from "./part.js";

/** Raised with every change of the tables: what is of an older form is neither taken over nor served. */
export const FORMAT = 3;

/** The record of one instant, in parts. */
export interface Snapshot {
  /** The day, UTC, with a number behind it from the second one of a day on: 2026-05-02, 2026-05-02.2. */
  readonly id: string;
  /** Version of its tables. */
  readonly format: number;
  /** The record that it is of. */
  readonly recordId: string;
  /** The newest change that it has. */
  readonly newest: ChangeMark;
  readonly createdAt: string;
  readonly parts: readonly Part[];
}

/** The day, UTC, that a snapshot is of. */
export const dayOf = ({ id }: Snapshot): string => id.slice(0, 10);

const SNAPSHOT = /^(\d{4}-\d\d-\d\d)(?:\.(\d{1,4}))?\.json$/;

/** Snapshots of one record: what each holds, and the files, which several may share. */
export class Snapshots {
  /** Snapshots never change: what was read is kept. */
  private readonly known = new Map<string, Snapshot>();
  private listed: { readonly ids: readonly string[]; readonly at: number } | null = null;

  constructor(
    readonly store: DatasetStore,
    readonly recordId: string,
  ) {}

  /** Ids, the oldest first. */
  async ids(): Promise<readonly string[]> {
    const at = performance.now();
    const found = (await this.store.snapshots()).flatMap((name) => {
      const [, day, number = "1"] = SNAPSHOT.exec(name) ?? [];
      return day ? [{ id: name.slice(0, -".json".length), day, number: Number(number) }] : [];
    });
    found.sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.number - b.number));
    const ids = found.map(({ id }) => id);
    for (const one of this.known.keys()) if (!ids.includes(one)) this.known.delete(one);
    this.listed = { ids, at };
    return ids;
  }

  /** Ids as of a moment ago, for readers. */
  async recentIds(): Promise<readonly string[]> {
    const { listed, store } = this;
    return listed && performance.now() - listed.at < store.believedMs ? listed.ids : this.ids();
  }

  /** Null when there is none of this id. One that was added a moment ago is found. */
  async find(id: string): Promise<Snapshot | null> {
    if (!SNAPSHOT.test(nameOf(id))) return null;
    const isThere = (await this.recentIds()).includes(id) || (await this.ids()).includes(id);
    return isThere ? this.load(id) : null;
  }

  /** Those of some ids, the newest first where the ids begin with the oldest. */
  async *each(ids: readonly string[]): AsyncGenerator<Snapshot> {
    for (const id of ids.toReversed()) {
      const snapshot = await this.load(id);
      if (snapshot) yield snapshot;
    }
  }

  /** The id of a new snapshot of a day. */
  async nextId(day: string): Promise<string> {
    const last = (await this.ids()).findLast((id) => id.startsWith(day));
    return last === undefined ? day : `${day}.${Number(last.split(".")[1] ?? 1) + 1}`;
  }

  /** It is there whole, or not at all. */
  async add(snapshot: Snapshot): Promise<void> {
    await this.store.putSnapshot(nameOf(snapshot.id), JSON.stringify(snapshot));
    this.listed = null;
  }

  /** Removes all snapshots but some, every file that none of these has, and what is left of tries that were cut short. */
  async keepOnly(ids: readonly string[]): Promise<void> {
    const kept = new Set<string>();
    for (const id of await this.ids()) {
      if (!ids.includes(id)) await this.store.removeSnapshot(nameOf(id));
      else
        for (const { files } of (await this.load(id))?.parts ?? [])
          for (const one of FORMATS) kept.add(files[one].sha256);
    }
    this.listed = null;
    for (const sha256 of await this.store.files()) if (!kept.has(sha256)) await this.store.removeFile(sha256);
    await this.store.removeDrafts();
  }

  private async load(id: string): Promise<Snapshot | null> {
    const known = this.known.get(id);
    if (known) return known;
    const text = await this.store.snapshot(nameOf(id));
    if (text === null) return null;
    const snapshot = JSON.parse(text) as Snapshot;
    this.known.set(id, snapshot);
    return snapshot;
  }
}

const nameOf = (id: string): string => `${id}.json`;

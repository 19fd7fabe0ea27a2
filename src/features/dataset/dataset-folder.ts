import { createReadStream } from "node:fs";
import { mkdir, readdir, readFile, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { ChangeMark } from "../changes/changes.service.js";
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

/** Snapshots of one record on disk: what each holds, and the files, which several may share. */
export class DatasetFolder {
  /** Snapshots never change: what was read is kept. */
  private readonly known = new Map<string, Snapshot>();
  private readonly folder: string;

  /** @param all where those of every record are that this disk has served */
  constructor(
    private readonly all: string,
    readonly recordId: string,
  ) {
    this.folder = join(all, recordId);
  }

  get files(): string {
    return join(this.folder, "files");
  }

  /** Ids, the oldest first. */
  async ids(): Promise<string[]> {
    const names = await readdir(join(this.folder, "snapshots")).catch(ifMissing);
    const found = names.flatMap((name) => {
      const [, day, number = "1"] = SNAPSHOT.exec(name) ?? [];
      return day ? [{ id: name.slice(0, -".json".length), day, number: Number(number) }] : [];
    });
    found.sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.number - b.number));
    return found.map(({ id }) => id);
  }

  /** Null when there is none of this id. */
  async find(id: string): Promise<Snapshot | null> {
    const ids = await this.ids();
    for (const one of this.known.keys()) if (!ids.includes(one)) this.known.delete(one);
    if (!ids.includes(id)) return null;
    const known = this.known.get(id);
    if (known) return known;
    const snapshot = JSON.parse(await readFile(this.pathOf(id), "utf8")) as Snapshot;
    this.known.set(id, snapshot);
    return snapshot;
  }

  /** All of them, the newest first. */
  async *snapshots(): AsyncGenerator<Snapshot> {
    for (const id of (await this.ids()).reverse()) {
      const snapshot = await this.find(id);
      if (snapshot) yield snapshot;
    }
  }

  /** Makes the folders, and removes what was kept before each record had its own. */
  async prepare(): Promise<void> {
    for (const name of ["files", "snapshots"]) {
      await rm(join(this.all, name), { recursive: true, force: true });
      await mkdir(join(this.folder, name), { recursive: true });
    }
  }

  /** The id of a new snapshot of a day. */
  async nextId(day: string): Promise<string> {
    const last = (await this.ids()).findLast((id) => id.startsWith(day));
    return last === undefined ? day : `${day}.${Number(last.split(".")[1] ?? 1) + 1}`;
  }

  /** It is there whole, or not at all. */
  async add(snapshot: Snapshot): Promise<void> {
    const path = this.pathOf(snapshot.id);
    await writeFile(`${path}.part`, JSON.stringify(snapshot));
    await rename(`${path}.part`, path);
  }

  /** Removes all snapshots but some, and every file that none of these has. */
  async keepOnly(ids: readonly string[]): Promise<void> {
    const kept = new Set<string>();
    for (const id of await this.ids()) {
      if (!ids.includes(id)) await rm(this.pathOf(id), { force: true });
      else
        for (const { files } of (await this.find(id))?.parts ?? [])
          for (const one of FORMATS) kept.add(files[one].sha256);
    }
    for (const name of await readdir(this.files)) {
      if (!kept.has(name)) await rm(join(this.files, name), { force: true });
    }
  }

  /** The bytes of a file, or those from one to another. */
  read(sha256: string, range?: { readonly start: number; readonly end: number }): AsyncIterable<Uint8Array> {
    return createReadStream(join(this.files, sha256), range);
  }

  private pathOf(id: string): string {
    return join(this.folder, "snapshots", `${id}.json`);
  }
}

function ifMissing(error: NodeJS.ErrnoException): string[] {
  if (error.code === "ENOENT") return [];
  throw error;
}

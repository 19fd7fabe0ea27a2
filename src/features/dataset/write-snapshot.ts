import { type DatasetFolder, dayOf } from "./dataset-folder.js";
import { type Part, writePart } from "./part.js";
import { monthOf, SnapshotReader } from "./snapshot-reader.js";
import type { DatasetTable } from "./table.js";
import { TABLES } from "./tables.js";

/** Raised with every change of the tables, so that nothing of an older form is taken over. */
const FORMAT = 1;

/** Snapshots that are kept. */
const KEPT = 7;

/**
 * Writes the record of one instant, unless there is one of that day that may be served. Parts in which nothing changed since
 * the last snapshot are taken over from it. Of an erased tester's name nothing is left on disk then.
 */
export async function writeSnapshot(connectionString: string, folder: DatasetFolder): Promise<void> {
  await SnapshotReader.read(connectionString, async (reader) => {
    const last = await folder.newest();
    const state = await reader.state();
    const createdAt = new Date().toISOString();
    const hasErased = last !== null && (await reader.hasErasureAfter(last.position));
    if (last && !hasErased && dayOf(last) === createdAt.slice(0, 10)) return;
    const isNext = last?.format === FORMAT && last.recordId === state.recordId && last.position <= state.position;
    const parts: Part[] = [];
    for (const table of TABLES) {
      const before = isNext ? last.parts.filter(({ kind }) => kind === table.kind) : [];
      const changed = isNext ? await reader.changedMonths(table, last.position) : await reader.months(table);
      parts.push(...(await partsOf(table, { folder, reader, before, changed })));
    }
    const id = await folder.nextId(createdAt.slice(0, 10));
    await folder.add({ id, format: FORMAT, createdAt, ...state, parts });
    await folder.keepOnly((await folder.ids()).slice(hasErased ? -1 : -KEPT));
  });
}

interface Writing {
  readonly folder: DatasetFolder;
  readonly reader: SnapshotReader;
  readonly before: readonly Part[];
  readonly changed: readonly string[];
}

async function partsOf(table: DatasetTable, { folder, reader, before, changed }: Writing): Promise<Part[]> {
  const parts = before.filter(({ month }) => !changed.includes(month));
  for (const month of changed) {
    const part = await writePart(folder.files, reader, table, monthOf(month));
    if (part) parts.push(part);
  }
  return parts.sort((a, b) => (a.month < b.month ? -1 : 1));
}

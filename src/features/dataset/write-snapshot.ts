import { type Part, writePart } from "./part.js";
import { monthOf, SnapshotReader } from "./snapshot-reader.js";
import { dayOf, FORMAT, type Snapshot, type Snapshots } from "./snapshots.js";
import type { DatasetTable } from "./table.js";
import { TABLES } from "./tables.js";

/** Snapshots that are kept. */
const KEPT = 7;

/**
 * Writes the record of one instant, unless there is one of that day that may be served. Parts in which nothing changed since
 * the last snapshot are taken over from it. Of an erased tester's name nothing is left in them then.
 */
export async function writeSnapshot(connectionString: string, snapshots: Snapshots): Promise<void> {
  await SnapshotReader.read(connectionString, async (reader) => {
    const createdAt = new Date().toISOString();
    const before = await snapshotsBefore(snapshots, reader);
    const served = before.filter(({ mayBeServed }) => mayBeServed).map(({ snapshot }) => snapshot);
    const ids = served.map(({ id }) => id);
    if (served[0] && dayOf(served[0]) === createdAt.slice(0, 10)) {
      // What a try that was cut short has left to remove.
      await snapshots.keepOnly(ids.slice(0, KEPT));
      return;
    }
    const last = before[0]?.snapshot;
    const parts: Part[] = [];
    for (const table of TABLES) {
      const taken = last?.parts.filter(({ kind }) => kind === table.kind) ?? [];
      const changed = last ? await reader.changedMonths(table, last.newest.position) : await reader.months(table);
      parts.push(...(await partsOf(table, { snapshots, reader, before: taken, changed })));
    }
    const id = await snapshots.nextId(createdAt.slice(0, 10));
    await snapshots.add({ id, format: FORMAT, createdAt, ...(await reader.state()), parts });
    await snapshots.keepOnly([id, ...ids.slice(0, KEPT - 1)]);
  });
}

/** Those that the record goes on from, the newest first, and whether each may still be served. */
async function snapshotsBefore(snapshots: Snapshots, reader: SnapshotReader) {
  const found: { snapshot: Snapshot; mayBeServed: boolean }[] = [];
  for await (const snapshot of snapshots.each(await snapshots.ids())) {
    if (snapshot.format !== FORMAT) continue;
    const { isOfHistory, hasErasureAfter } = await reader.since(snapshot.newest);
    if (isOfHistory) found.push({ snapshot, mayBeServed: !hasErasureAfter });
  }
  return found;
}

interface Writing {
  readonly snapshots: Snapshots;
  readonly reader: SnapshotReader;
  readonly before: readonly Part[];
  readonly changed: readonly string[];
}

async function partsOf(table: DatasetTable, { snapshots, reader, before, changed }: Writing): Promise<Part[]> {
  const parts = before.filter(({ month }) => !changed.includes(month));
  for (const month of changed) {
    const part = await writePart(snapshots.store, reader, table, monthOf(month));
    if (part) parts.push(part);
  }
  return parts.sort((a, b) => (a.month < b.month ? -1 : 1));
}

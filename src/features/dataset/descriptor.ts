import { FORMATS, type Format, type Part } from "./part.js";
import type { Snapshot } from "./snapshots.js";
import type { DatasetTable } from "./table.js";
import { TABLES } from "./tables.js";

const PROFILES = "https://datapackage.org/profiles/2.0";
const MEDIA_TYPES: Readonly<Record<Format, string>> = { csv: "text/csv", parquet: "application/vnd.apache.parquet" };

export const mediaTypeOf = (format: Format): string => MEDIA_TYPES[format];

/** Where a file is below its snapshot's own address, as engines take partitions from paths. */
export function pathOf({ kind, month }: Pick<Part, "kind" | "month">, format: Format): string {
  const [year, number] = month.split("-");
  return `kind=${kind}/year=${year}/month=${number}/${kind}-${month}.${format}`;
}

/**
 * A snapshot as a data package (Data Package, version 2): a resource for each file.
 *
 * @param base what stands ahead of the paths of its files
 * @param changes where the changes behind it are
 */
export function descriptorOf(snapshot: Snapshot, base: string, changes: string): object {
  const byKind = new Map(TABLES.map((table) => [table.kind, table]));
  const year = snapshot.createdAt.slice(0, 4);
  return {
    $schema: `${PROFILES}/datapackage.json`,
    name: "public-record-of-battery-packs",
    title: "What lithium battery packs deliver, measured by many testers",
    description:
      "The whole public record: packs, testers, accepted runs with their figures and findings, and the standings made of them. " +
      "Each table is kept in a part for each month, as CSV and as Apache Parquet.",
    version: snapshot.id,
    created: snapshot.createdAt,
    keywords: ["battery", "lithium", "bench test", "discharge"],
    licenses: [
      {
        name: "CC-BY-4.0",
        path: "https://creativecommons.org/licenses/by/4.0/",
        title: "Creative Commons Attribution 4.0 International",
      },
    ],
    citation: `The testers of this service (${year}). Public record of battery packs, snapshot ${snapshot.id}. CC BY 4.0.`,
    recordId: snapshot.recordId,
    changes: { path: changes, position: snapshot.newest.position },
    resources: snapshot.parts.flatMap((part) =>
      FORMATS.map((format) => resourceOf(byKind.get(part.kind) as DatasetTable, part, format, base)),
    ),
  };
}

function resourceOf(table: DatasetTable, part: Part, format: Format, base: string): object {
  const { sha256, bytes } = part.files[format];
  return {
    name: `${part.kind}-${part.month}-${format}`,
    title: `${table.title}, ${part.month}`,
    type: "table",
    path: `${base}${pathOf(part, format)}`,
    format,
    mediatype: mediaTypeOf(format),
    ...(format === "csv" ? { encoding: "utf-8" } : {}),
    bytes,
    hash: `sha256:${sha256}`,
    rows: part.rows,
    schema: {
      $schema: `${PROFILES}/tableschema.json`,
      fields: table.fields,
      missingValues: [""],
      ...(table.primaryKey ? { primaryKey: table.primaryKey } : {}),
    },
  };
}

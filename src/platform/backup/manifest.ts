/** What a backup is and holds; the last file of its archive. */
export interface Manifest {
  readonly format: "packledger-backup";
  readonly version: 1;
  /** When the snapshot was taken; ISO 8601. */
  readonly takenAt: string;
  /** The migrations that had made its tables, in order. */
  readonly migrations: readonly { readonly name: string; readonly checksum: string }[];
  readonly files: readonly ManifestFile[];
}

export interface ManifestFile {
  readonly path: string;
  readonly bytes: number;
  readonly sha256: string;
}

export const MANIFEST = "manifest.json";
export const JOBS = "jobs.ndjson";
export const AUDIT_KEY = "audit-key.pem";
export const tablePath = (name: string): string => `tables/${name}.copy`;

/** @throws Error when the text is no manifest of a backup that this program reads */
export function readManifest(text: string): Manifest {
  const manifest = JSON.parse(text) as Manifest;
  if (manifest.format !== "packledger-backup") throw new Error("The file is no backup of Packledger.");
  if (manifest.version !== 1) {
    throw new Error(
      `The backup has format ${manifest.version}, which a later version of Packledger made. Restore it with that one.`,
    );
  }
  return manifest;
}

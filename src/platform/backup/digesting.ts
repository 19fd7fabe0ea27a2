import { createHash } from "node:crypto";

export interface Digest {
  readonly bytes: number;
  readonly sha256: string;
}

/** Passes bytes on, and tells their number and SHA-256 once they have ended. */
export async function* digesting(
  source: AsyncIterable<Uint8Array>,
  tell: (digest: Digest) => void,
): AsyncGenerator<Uint8Array> {
  const hash = createHash("sha256");
  let bytes = 0;
  for await (const chunk of source) {
    hash.update(chunk);
    bytes += chunk.length;
    yield chunk;
  }
  tell({ bytes, sha256: hash.digest("hex") });
}

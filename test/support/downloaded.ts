import { createHash } from "node:crypto";
import { mkdir, mkdtemp, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import type { TestApp } from "./app.js";

export interface Resource {
  readonly name: string;
  readonly path: string;
  readonly format: "csv" | "parquet";
  readonly bytes: number;
  readonly hash: string;
  readonly rows: number;
  readonly schema: { readonly fields: readonly { readonly name: string; readonly type: string }[] };
}

export interface Descriptor {
  readonly version: string;
  readonly recordId: string;
  readonly changes: { readonly path: string; readonly position: number };
  readonly resources: readonly Resource[];
}

export async function readDescriptor(app: TestApp): Promise<Descriptor> {
  const answer = await app.inject({ url: "/v1/dataset" });
  if (answer.statusCode !== 200) throw new Error(answer.body);
  return answer.json<Descriptor>();
}

/** Fetches every file from where the descriptor says that it is (RFC 3986, 5), held to its bytes and SHA-256. */
export async function download(app: TestApp, { version, resources }: Descriptor): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), "packledger-record-"));
  for (const { path, bytes, hash } of resources) {
    const { pathname } = new URL(path, "http://localhost/v1/dataset");
    const answer = await app.inject({ url: pathname });
    const digest = createHash("sha256").update(answer.rawPayload).digest("hex");
    if (answer.statusCode !== 200 || answer.rawPayload.length !== bytes || hash !== `sha256:${digest}`) {
      throw new Error(`${path} is not what the descriptor says: ${answer.statusCode}`);
    }
    const file = join(folder, path.replace(`dataset/${version}/`, ""));
    await mkdir(dirname(file), { recursive: true });
    await writeFile(file, answer.rawPayload);
  }
  return folder;
}

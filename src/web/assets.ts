import { createHash } from "node:crypto";
import { readdir, readFile } from "node:fs/promises";
import { extname, join } from "node:path";
import type { FastifyInstance } from "fastify";
import { projectRoot } from "../platform/config/project-root.js";

/** Where the build has laid what browsers load. */
const folder = join(projectRoot, "dist/web");

const MEDIA_TYPES: Readonly<Record<string, string>> = {
  ".css": "text/css; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".svg": "image/svg+xml",
  ".txt": "text/plain; charset=utf-8",
};

/** What reads logs may load its own scripts and ask nobody: a log never leaves the device through it (CSP Level 3, 6.1). */
const WORKER = "log-worker.js";
const WORKER_POLICY = "default-src 'none'; script-src 'self'; connect-src 'none'";

let reading: Promise<Assets> | undefined;

/** Addresses of what pages load: every build has its own, so that browsers keep the files for good. */
export class Assets {
  private constructor(
    private readonly files: ReadonlyMap<string, Buffer>,
    private readonly build: string,
  ) {}

  /** Read once a process, however many services it starts. */
  static read(): Promise<Assets> {
    reading ??= Assets.readFolder();
    return reading;
  }

  private static async readFolder(): Promise<Assets> {
    const names = (await readdir(folder)).sort();
    const files = new Map<string, Buffer>();
    for (const name of names) files.set(name, await readFile(join(folder, name)));
    const hash = createHash("sha256");
    for (const [name, bytes] of files) hash.update(name).update(bytes);
    return new Assets(files, hash.digest("base64url").slice(0, 16));
  }

  /** @throws when the build has laid no such file */
  address(name: string): string {
    if (!this.files.has(name)) throw new Error(`there is no asset ${name}`);
    return `/assets/${this.build}/${name}`;
  }

  serve(server: FastifyInstance): void {
    for (const [name, bytes] of this.files) {
      server.get(this.address(name), { config: { cors: false } as object }, (_, reply) =>
        reply
          .header("content-type", MEDIA_TYPES[extname(name)] ?? "application/octet-stream")
          .header("cache-control", "public, max-age=31536000, immutable")
          .headers(name === WORKER ? { "content-security-policy": WORKER_POLICY } : {})
          .send(bytes),
      );
    }
  }
}

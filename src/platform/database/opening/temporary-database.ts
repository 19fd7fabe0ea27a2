import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type EmbeddedServer, startEmbeddedServer } from "../embedded/embedded-server.js";

/** A database server in a temporary folder, made for speed: what it holds is gone when it stops. */
export async function startTemporaryServer(): Promise<EmbeddedServer> {
  const folder = await mkdtemp(join(tmpdir(), "packledger-"));
  const server = await startEmbeddedServer(join(folder, "data"), {
    serverSettings: ["fsync=off", "synchronous_commit=off", "full_page_writes=off", "max_connections=200"],
  });
  return {
    ...server,
    async stop() {
      await server.stop();
      await rm(folder, { recursive: true, force: true });
    },
  };
}

/** Runs `work` against an empty database that exists only meanwhile. */
export async function withTemporaryDatabase<T>(work: (connectionString: string) => Promise<T>): Promise<T> {
  const server = await startTemporaryServer();
  try {
    return await work(server.connectionString);
  } finally {
    await server.stop();
  }
}

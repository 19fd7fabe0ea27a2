import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Client } from "pg";
import { startEmbeddedServer } from "../src/platform/database/embedded/embedded-server.js";
import { ServiceUnderAttack } from "../test/abuse/hostile/service.js";
import { bytesByKind, bytesByTable, bytesOfSamples } from "./storage/measure.js";

// Prints what the runs of the demo take in the database: bytes a run by what they are of, and bytes a sample of their traces. The demo is loaded into a
// record of its own, or with a folder as the argument read from the one that lies there and that no service uses.

const [, , given] = process.argv;
const folder = await mkdtemp(join(tmpdir(), "packledger-storage-"));
const data = given ?? join(folder, "data");
try {
  if (!given) {
    const service = new ServiceUnderAttack(folder);
    await service.start();
    await service.stop();
  }
  const server = await startEmbeddedServer(data);
  const client = new Client({ connectionString: server.connectionString });
  await client.connect();
  try {
    await client.query("VACUUM ANALYZE");
    print(["bytes a run", "mean", "median"], await bytesByKind(client));
    print(["table, bytes a run", "rows", "toast", "indexes"], await bytesByTable(client));
    print(["channels of a trace", "traces", "bytes a sample, mean", "largest"], await bytesOfSamples(client));
  } finally {
    await client.end();
    await server.stop();
  }
} finally {
  await rm(folder, { recursive: true, force: true });
}

function print(head: readonly string[], rows: readonly (readonly (string | number)[])[]): void {
  const line = (cells: readonly (string | number)[]) => `| ${cells.join(" | ")} |`;
  console.log([line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n"), "\n");
}

import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startEmbeddedServer } from "../embedded/embedded-server.js";
import { awaitDatabase } from "./await-database.js";

let parent: string;
let folder: string;
let connectionString: string;
beforeAll(async () => {
  parent = await mkdtemp(join(tmpdir(), "packledger-await-"));
  folder = join(parent, "data");
  const server = await startEmbeddedServer(folder);
  connectionString = server.connectionString;
  await server.stop();
});
afterAll(() => rm(parent, { recursive: true }));

it("waits for a database that is started a little later", async () => {
  const waiting = awaitDatabase(connectionString, Number.POSITIVE_INFINITY);
  const server = await startEmbeddedServer(folder);
  await expect(waiting).resolves.toBeUndefined();
  await server.stop();
});

it("gives up on one that never comes, and at once on what waiting cannot mend", async () => {
  await expect(awaitDatabase(connectionString, 300)).rejects.toMatchObject({ code: "ECONNREFUSED" });
  const server = await startEmbeddedServer(folder);
  const wrong = new URL(connectionString);
  wrong.password = "wrong";
  // SQLSTATE 28P01, invalid_password: PostgreSQL documentation, appendix A. Whoever waited would wait for ever.
  await expect(awaitDatabase(wrong.href, Number.POSITIVE_INFINITY)).rejects.toMatchObject({ code: "28P01" });
  await server.stop();
});

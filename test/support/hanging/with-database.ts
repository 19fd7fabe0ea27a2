import { spawn } from "node:child_process";
import { once } from "node:events";
import { writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { it } from "@jest/globals";
import { cloneDatabase } from "../database.js";

// Run by name alone, in a test run that is to be ended.
it("hangs, with a database and a process of its own", async () => {
  await cloneDatabase();
  await once(spawn("sleep", ["86400"], { stdio: "ignore" }), "spawn");
  await writeFile(join(tmpdir(), `hangs-${process.pid}`), "");
  for (;;);
});

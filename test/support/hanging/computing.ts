import { writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { it } from "@jest/globals";

// Run by name alone, in a test run that is to be ended.
it("computes without end", async () => {
  await writeFile(join(tmpdir(), `hangs-${process.pid}`), "");
  for (;;);
});

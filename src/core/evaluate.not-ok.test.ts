import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "@jest/globals";
import { evaluateText } from "../../test/support/evaluated.js";
const D = join(import.meta.dirname, "../../test/corpus/not-ok");
test("x", async () => {
  for (const name of readdirSync(D)) {
    try { const e = await evaluateText(readFileSync(join(D, name))); process.stdout.write(`${name}: READ ${e.verdict}\n`); }
    catch (e) { process.stdout.write(`${name}: ${(e as {code:string}).code} :: ${(e as Error).message}\n`); }
  }
});

import { execFileSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../../", import.meta.url));
const stamp = join(root, "dist", "built-from");
const INPUTS = [
  "src",
  "seed",
  "prisma",
  "numerics",
  "test",
  "bench",
  ".swcrc",
  "nest-cli.json",
  "package-lock.json",
  "prisma.config.ts",
  "rolldown.config.js",
  "contracts/openapi.json",
];
const MADE = [join("src", "generated"), join("core", "numerics", "library.js")];
/** Neither is an input of the build: some are made by it, the other are not compiled. */
const isLeftOut = (path) => MADE.some((made) => path.endsWith(made)) || path.endsWith(".test.ts");

/** When the newest input of the build was changed, and how many there are. */
function inputs() {
  const found = { files: 0, newestMs: 0 };
  const visit = (path) => {
    if (isLeftOut(path)) return;
    const status = statSync(path);
    if (status.isDirectory()) for (const name of readdirSync(path)) visit(join(path, name));
    else {
      found.files++;
      found.newestMs = Math.max(found.newestMs, status.mtimeMs);
    }
  };
  for (const name of INPUTS) visit(join(root, name));
  return JSON.stringify(found);
}

/** Builds the service where something that it is made of has changed since the last time. */
export function buildWhereStale() {
  const now = inputs();
  if (existsSync(stamp) && readFileSync(stamp, "utf8") === now) return;
  execFileSync("npm", ["run", "--silent", "build"], { cwd: root, stdio: ["ignore", "ignore", "inherit"] });
  writeFileSync(stamp, now);
}

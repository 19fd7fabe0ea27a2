import { existsSync, readFileSync } from "node:fs";
import { registerHooks } from "node:module";
import { fileURLToPath } from "node:url";
import { transformSync } from "@swc/core";

const { module, jsc } = JSON.parse(readFileSync(new URL("../../../.swcrc", import.meta.url), "utf8"));
const globals = new URL("globals.js", import.meta.url).href;

/** The TypeScript file that a relative import of its compiled name means; null when there is none. */
function sourceOf(specifier, importer) {
  if (!importer || !/^\.{1,2}\/.*\.js$/.test(specifier)) return null;
  const source = new URL(specifier.replace(/js$/, "ts"), importer);
  return existsSync(source) ? source.href : null;
}

// From here on this process imports TypeScript as the build compiles it, each module once for all test files.
registerHooks({
  resolve(specifier, context, next) {
    const url = specifier === "@jest/globals" ? globals : sourceOf(specifier, context.parentURL);
    return url ? { url, format: "module", shortCircuit: true } : next(specifier, context);
  },
  load(url, context, next) {
    const { pathname } = new URL(url);
    if (!pathname.endsWith(".ts")) return next(url, context);
    const filename = fileURLToPath(new URL(pathname, "file:"));
    const options = { swcrc: false, filename, sourceMaps: "inline", module, jsc };
    const { code } = transformSync(readFileSync(filename, "utf8"), options);
    return { format: "module", source: code, shortCircuit: true };
  },
});
process.setSourceMapsEnabled(true);

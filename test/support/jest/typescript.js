import { hash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { enableCompileCache, registerHooks, setSourceMapsSupport } from "node:module";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { transformSync } from "@swc/core";

const root = fileURLToPath(new URL("../../../", import.meta.url));
const compiler = JSON.parse(readFileSync(join(root, "node_modules/@swc/core/package.json"), "utf8")).version;
const { module, jsc } = JSON.parse(readFileSync(join(root, ".swcrc"), "utf8"));
const globals = new URL("globals.js", import.meta.url).href;
/** What one worker of a run has compiled, the later ones and later runs find here, by what it was made of. */
const cache = join(root, "node_modules", ".cache", "tests");
const made = JSON.stringify({ compiler, module, jsc });

/** The TypeScript file that a relative import of its compiled name means; null when there is none. */
function sourceOf(specifier, importer) {
  if (!importer || !/^\.{1,2}\/.*\.js$/.test(specifier)) return null;
  const source = new URL(specifier.replace(/js$/, "ts"), importer);
  return existsSync(source) ? source.href : null;
}

/** What `filename` is compiled to. */
function compile(filename) {
  const source = readFileSync(filename, "utf8");
  const kept = join(cache, `${hash("sha256", `${made}\0${filename}\0${source}`)}.js`);
  try {
    return readFileSync(kept, "utf8");
  } catch (error) {
    if (error.code !== "ENOENT") throw error;
  }
  const { code } = transformSync(source, { swcrc: false, filename, sourceMaps: "inline", module, jsc });
  // Workers that compile the same file at the same time write the same.
  const written = `${kept}.${process.pid}`;
  writeFileSync(written, code);
  renameSync(written, kept);
  return code;
}

mkdirSync(cache, { recursive: true });
// Node keeps what it has compiled here too, of packages and of these.
const compiled = join(cache, "node");
enableCompileCache(compiled);
// The programs that tests start take it from there as well.
process.env.NODE_COMPILE_CACHE ??= compiled;
// From here on this process imports TypeScript as the build compiles it, each module once for all test files.
registerHooks({
  resolve(specifier, context, next) {
    const url = specifier === "@jest/globals" ? globals : sourceOf(specifier, context.parentURL);
    return url ? { url, format: "module", shortCircuit: true } : next(specifier, context);
  },
  load(url, context, next) {
    const { pathname } = new URL(url);
    if (!pathname.endsWith(".ts")) return next(url, context);
    return { format: "module", source: compile(fileURLToPath(new URL(pathname, "file:"))), shortCircuit: true };
  },
});
setSourceMapsSupport(true, { nodeModules: false });

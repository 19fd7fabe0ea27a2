import { readdirSync, readFileSync } from "node:fs";
import { resolve } from "node:path";
import { noticesOf } from "./numerics/notices.js";

const styles = "src/web/styles";

/** One file of styles, from those of every purpose in the order of their names. */
const oneStylesheet = {
  name: "one-stylesheet",
  buildStart() {
    const files = readdirSync(styles).filter((name) => name.endsWith(".css"));
    const source = files
      .sort()
      .map((name) => readFileSync(`${styles}/${name}`, "utf8"))
      .join("\n");
    this.emitFile({ type: "asset", fileName: "page.css", source });
    this.emitFile({ type: "asset", fileName: "icon.svg", source: readFileSync("src/web/styles/icon.svg", "utf8") });
  },
};

/** The one file of what evaluates a log that needs Node has its equal for browsers. */
const gunzipOfBrowsers = {
  name: "gunzip-of-browsers",
  resolveId: (source, importer) =>
    source === "./gunzip.js" && importer?.endsWith("/core/table/archive/unpack.ts")
      ? resolve("src/web/browser/log/gunzip.ts")
      : null,
};

/** The licences of what is bundled, beside it. The core's own bundle begins with those of its packages. */
const notices = {
  name: "notices",
  generateBundle(_, bundle) {
    const modules = Object.values(bundle).flatMap(({ moduleIds = [] }) => moduleIds);
    const core = readFileSync("src/core/numerics/library.js", "utf8").match(/^\/\*!([\s\S]*?)\*\//)?.[1] ?? "";
    this.emitFile({ type: "asset", fileName: "notices.txt", source: `${noticesOf(modules)}\n${core.trim()}\n` });
  },
};

/** What browsers run: an entry for each file of src/web/browser/entries, and what they share. */
export default {
  input: Object.fromEntries(
    readdirSync("src/web/browser/entries").map((name) => [
      name.replace(/\.ts$/, ""),
      `src/web/browser/entries/${name}`,
    ]),
  ),
  platform: "browser",
  plugins: [oneStylesheet, gunzipOfBrowsers, notices],
  tsconfig: false,
  output: {
    dir: "dist/web",
    format: "es",
    minify: true,
    comments: false,
    entryFileNames: "[name].js",
    chunkFileNames: "[name].js",
  },
};

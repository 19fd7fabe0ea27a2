import { readdirSync, readFileSync } from "node:fs";

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

/** What browsers run: an entry for each file of src/web/browser/entries, and what they share. */
export default {
  input: Object.fromEntries(
    readdirSync("src/web/browser/entries").map((name) => [
      name.replace(/\.ts$/, ""),
      `src/web/browser/entries/${name}`,
    ]),
  ),
  platform: "browser",
  plugins: [oneStylesheet],
  tsconfig: false,
  output: { dir: "dist/web", format: "es", minify: true, entryFileNames: "[name].js", chunkFileNames: "[name].js" },
};

import { existsSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { rolldown } from "rolldown";
import { noticesOf } from "./notices.js";

/** Run by the build: bundles what `library.js` names into one module of the core, with the notices of its packages. */
const LIBRARY = fileURLToPath(new URL("../src/core/numerics/library.js", import.meta.url));
const SAME_MATH = fileURLToPath(new URL("same-math.cjs", import.meta.url));
const SCALE = fileURLToPath(new URL("scale.cjs", import.meta.url));

/** jStat calls the engine's `Math`; in its place it is given the functions of the library. */
const sameMath = {
  name: "same-math",
  transform: (code, id) =>
    /\/jstat\.js$/.test(id) ? `var Math = require(${JSON.stringify(SAME_MATH)});\n${code}` : null,
};

/** exp is asked for at every sample; most of its time went into multiplying by a power of two. */
const quickScale = {
  name: "quick-scale",
  resolveId: (source, importer) =>
    source === "@stdlib/math-base-special-ldexp" && /math-base-special-exp\//.test(importer ?? "") ? SCALE : null,
};

const bundle = await rolldown({
  input: fileURLToPath(new URL("library.js", import.meta.url)),
  platform: "browser",
  tsconfig: false,
  plugins: [sameMath, quickScale],
});
const { output } = await bundle.generate({ format: "es", comments: false });
await bundle.close();
const [{ code, moduleIds }] = output;
const text = `/*! Made by the build from these packages:\n\n${noticesOf(moduleIds)}*/\n${code}`;
if (!existsSync(LIBRARY) || readFileSync(LIBRARY, "utf8") !== text) {
  // Whole at once: tests may be reading it.
  writeFileSync(`${LIBRARY}.new`, text);
  renameSync(`${LIBRARY}.new`, LIBRARY);
}

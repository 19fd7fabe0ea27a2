import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";

/** The folder of the package that a module belongs to; null for the project's own. */
function packageOf(module) {
  if (!module.includes("node_modules")) return null;
  let folder = dirname(module);
  while (
    !existsSync(join(folder, "package.json")) ||
    !JSON.parse(readFileSync(join(folder, "package.json"), "utf8")).name
  )
    folder = dirname(folder);
  return folder;
}

/** The notices that packages ask to be kept with what is made of them: their licences, and those at the heads of their files. */
export function noticesOf(modules) {
  const texts = new Map();
  const add = (text, by) => texts.set(text, [...(texts.get(text) ?? []), by]);
  const seen = new Set();
  for (const module of [...modules].sort()) {
    const folder = packageOf(module);
    if (folder === null) continue;
    const { name, version } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
    for (const [, head] of readFileSync(module, "utf8").matchAll(/\/\*\*?!?\s*\*? @license([\s\S]*?)\*\//g))
      add(plain(head), name);
    if (seen.has(folder)) continue;
    seen.add(folder);
    for (const file of readdirSync(folder).filter((one) => /^(licen[cs]e|notice|copying)/i.test(one)))
      add(plain(readFileSync(join(folder, file), "utf8")), `${name} ${version}`);
  }
  return [...texts].map(([text, by]) => `${[...new Set(by)].join(", ")}:\n\n${text}\n`).join("\n");
}

const plain = (text) =>
  text
    .replace(/^[ \t]*\*?[ \t]?/gm, "")
    .replaceAll("*/", "* /")
    .trim();

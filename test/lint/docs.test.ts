import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize } from "node:path";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

const read = (file: string) => readFileSync(join(projectRoot, file), "utf8");
const FRONT = ["README.md", "DEVELOPERS.md"];
const DOCS = readdirSync(join(projectRoot, "docs"))
  .filter((name) => name.endsWith(".md"))
  .map((name) => `docs/${name}`);
const PAGES = [...FRONT, "SECURITY.md", "CHANGELOG.md", "seed/README.md", "contracts/released/README.md", ...DOCS];

/** The name that a heading is linked by: lower case, without marks, hyphens for spaces (as hosts of repositories make it; common practice). */
const anchorOf = (heading: string) =>
  heading
    .toLowerCase()
    .replaceAll(/[^\p{L}\p{N}_\- ]/gu, "")
    .replaceAll(" ", "-");
const anchorsOf = (page: string) => [...page.matchAll(/^#+ (.*)$/gm)].map(([, heading = ""]) => anchorOf(heading));

/** Links to files, and to headings in them, that are not there. */
function deadLinks(file: string): string[] {
  const links = [...read(file).matchAll(/\]\(([^)\s]+)\)/g)].map(([, link = ""]) => link);
  return links.filter((link) => {
    if (/^[a-z]+:/.test(link)) return false;
    const [path = "", anchor] = link.split("#");
    const target = path === "" ? file : normalize(join(dirname(file), path));
    if (!existsSync(join(projectRoot, target))) return true;
    return anchor !== undefined && !anchorsOf(read(target)).includes(anchor);
  });
}

it.each(PAGES)("every link of %s leads somewhere", (file) => {
  expect(deadLinks(file)).toEqual([]);
});

it("every page of docs is linked from the README or from the page for contributors", () => {
  const front = FRONT.map(read).join("\n");
  expect(DOCS.filter((page) => !front.includes(`](${page})`))).toEqual([]);
});

it("every command stands in the list of commands, and no other", () => {
  // A command of the group `packs` is declared on it.
  const declared = [...read("src/run-cli.ts").matchAll(/(program|packs)\s*\.command\("([a-z]+)"\)/g)]
    .map(([, group, name = ""]) => (group === "packs" ? `packs ${name}` : name))
    .filter((name) => name !== "packs");
  const listed = [...read("docs/commands.md").matchAll(/^\| `packledger ([a-z]+(?: [a-z]+)?)/gm)].map(
    ([, name = ""]) => name,
  );
  expect(declared.length).toBeGreaterThan(20);
  expect(listed.toSorted()).toEqual(declared.toSorted());
});

it("every script that a page names is there, and contributors are told of every one", () => {
  const scripts = Object.keys((JSON.parse(read("package.json")) as { scripts: object }).scripts);
  const named = PAGES.filter((page) => page !== "CHANGELOG.md").flatMap((page) =>
    [...read(page).matchAll(/npm run (?:--silent )?([\w:-]+)/g)].map(([, name = ""]) => name),
  );
  expect(named.filter((name) => !scripts.includes(name))).toEqual([]);
  const table = read("DEVELOPERS.md").split("## Commands\n")[1]?.split("\n## ")[0] ?? "";
  // Hooks run by themselves, before the script of their name.
  const own = scripts.filter((name) => !(name.startsWith("pre") && scripts.includes(name.slice(3))));
  expect(own.filter((name) => !new RegExp(`\\b${name}\\b(?![:-])`).test(table))).toEqual([]);
});

it("every variable that is read stands in a page, and every one that the README lists is read", () => {
  const source = ["config/config.ts", "tracing/tracing-config.ts"]
    .map((file) => read(`src/platform/${file}`))
    .join("\n");
  const variables = [
    ...new Set([...source.matchAll(/"([A-Z][A-Z0-9]*(?:_[A-Z0-9]+)*)"/g)].map(([, name = ""]) => name)),
  ];
  expect(variables.length).toBeGreaterThan(40);
  const table = read("README.md").split("## Variables\n")[1]?.split("\n## ")[0] ?? "";
  const rows = [...table.matchAll(/^\| (`[^|]*`) \|/gm)].flatMap(([, names = ""]) =>
    names.replaceAll("`", "").split(", "),
  );
  const pages = rows.join(" ").concat(read("docs/operation.md"));
  expect(variables.filter((name) => !new RegExp(`\\b${name}\\b`).test(pages))).toEqual([]);
  expect(rows.filter((name) => !variables.includes(name))).toEqual([]);
});

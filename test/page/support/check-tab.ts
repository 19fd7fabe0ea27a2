import { readFileSync } from "node:fs";
import { mkdtemp, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { ElementHandle } from "puppeteer-core";
import { projectRoot } from "../../../src/platform/config/project-root.js";
import { openTab, type PageTest, type Tab } from "./page-test.js";

const CORPUS = join(projectRoot, "test/corpus");

export const corpusLog = (...names: readonly string[]): string => join(CORPUS, ...names);

/** A log's declaration as a run file has it. */
export function runOf(name: string) {
  const { protocol, pack, bench, conditions } = JSON.parse(
    readFileSync(corpusLog("not-conforming", `${name}.json`), "utf8"),
  );
  return {
    protocol: protocol.key as string,
    protocolVersion: protocol.version as number,
    ...conditions,
    pack: { maker: "Northfell", name: "Bench pack", ...pack },
    bench: { label: "bench", ...bench },
  };
}

/** Files in a folder of their own, by their names. */
export async function writtenFiles(files: Readonly<Record<string, string | object>>): Promise<string[]> {
  const folder = await mkdtemp(join(tmpdir(), "run-"));
  return Promise.all(
    Object.entries(files).map(async ([name, content]) => {
      await writeFile(join(folder, name), typeof content === "string" ? content : JSON.stringify(content));
      return join(folder, name);
    }),
  );
}

export async function openCheck(test: PageTest): Promise<Tab> {
  const tab = await openTab(test);
  await tab.open("/check");
  return tab;
}

export async function choose({ page }: Pick<Tab, "page">, ...files: readonly string[]): Promise<void> {
  const input = (await page.$("#log-file")) as ElementHandle<never>;
  await input.uploadFile(...files);
}

export const shown = ({ page }: Tab, id: string) => page.waitForSelector(`#${id}:not([hidden]):not([aria-busy]) h2`);
export const isShown = async ({ page }: Tab, id: string) => (await page.$(`#${id}:not([hidden])`)) !== null;
export const textOf = ({ page }: Tab, id: string) => page.$eval(`#${id}`, (found) => found.textContent);

/** Waits until an element says something. */
export const said = (tab: Tab, id: string, pattern: RegExp) =>
  tab.page
    .waitForFunction(`${pattern}.test(document.getElementById(${JSON.stringify(id)}).textContent)`)
    .catch(async (error) => {
      throw new Error(`#${id} says "${await textOf(tab, id)}" and not ${pattern}`, { cause: error });
    });

/** What the field of a run file's member holds. */
export const entered = ({ page }: Tab, name: string) =>
  page.$eval(`#run [name="${name}"]`, (field) => (field as unknown as { value: string }).value);

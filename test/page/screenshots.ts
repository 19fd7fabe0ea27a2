import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { choose, corpusLog, runOf, writtenFiles } from "./support/check-tab.js";
import { startChromium } from "./support/chromium.js";
import { DESK, PHONE, wear } from "./support/page-test.js";

/** Writes pictures of every page of a running service with its demo, in light and dark, at the width of a desk and of a phone. */
const { values } = parseArgs({
  options: {
    url: { type: "string", default: "http://127.0.0.1:3000" },
    to: { type: "string", default: "data/screenshots" },
  },
});

const answer = await fetch(new URL("/v1/rankings/power-10s?chemistry=lipo&series=4&standing=all", values.url));
const { items } = (await answer.json()) as { items: { pack: { id: string } }[] };
const [first, second, third] = items.map(({ pack }) => pack.id);

const PAGES: Readonly<Record<string, string>> = {
  front: "/",
  rankings: "/rankings?class=lipo-3&load=31.5",
  packs: "/packs",
  "packs-none": "/packs?search=nothing-like-it",
  pack: `/packs/${first}`,
  compare: "/compare",
  comparison: `/compare?pack=${first}&pack=${second}&pack=${third}`,
  use: "/choose",
  check: "/check",
  "check-judged": "/check",
  "check-columns": "/check",
  "check-refused": "/check",
  "check-discharges": "/check",
  "use-answer": `/choose?pack=${first}&pack=${second}&watts=900&seconds=60&repeats=3`,
  missing: "/packs/nothing",
};

const [run = ""] = await writtenFiles({ "run.json": runOf("cutoff-depth") });
/** Files that are chosen at a page before it is looked at, and what then has to be seen. */
const FILES: Readonly<Record<string, readonly [files: readonly string[], seen: string]>> = {
  "check-judged": [[corpusLog("not-conforming", "cutoff-reached.csv"), run], "#figures h2"],
  "check-columns": [[corpusLog("ok", "scale-in-header.csv"), corpusLog("ok", "cells.csv")], "#trace h2"],
  "check-refused": [[corpusLog("not-ok", "two-voltages.csv")], "#refusal h2"],
  "check-discharges": [[corpusLog("not-ok", "two-discharges.csv")], "#discharges h2"],
};

await mkdir(values.to, { recursive: true });
const browser = await startChromium();
for (const [name, path] of Object.entries(PAGES)) {
  for (const [width, view] of Object.entries({ wide: DESK, phone: PHONE })) {
    for (const scheme of ["light", "dark"] as const) {
      const context = await browser.createBrowserContext();
      const page = await context.newPage();
      await page.setViewport(view);
      await wear(page, scheme);
      await page.goto(new URL(path, values.url).href);
      const [files, seen] = FILES[name] ?? [];
      if (files && seen) {
        await choose({ page }, ...files);
        await page.waitForSelector(seen);
      }
      await page.screenshot({
        path: join(values.to, `${name}-${scheme}-${width}.png`) as `${string}.png`,
        fullPage: true,
      });
      await context.close();
    }
  }
}
await browser.close();
console.log(`${Object.keys(PAGES).length} pages, four pictures each, in ${values.to}`);

import { mkdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { parseArgs } from "node:util";
import type { Page } from "puppeteer-core";
import { MODERATORS } from "../../seed/scenario.js";
import { choose, corpusLog, runOf, writtenFiles } from "./support/check-tab.js";
import { startChromium } from "./support/chromium.js";
import { DESK, PHONE, wear } from "./support/page-test.js";

/** Writes pictures of every page of a running service with its demo, in light and dark, at the width of a desk and of a phone. */
const { values } = parseArgs({
  options: {
    url: { type: "string", default: "http://127.0.0.1:3000" },
    to: { type: "string", default: "data/screenshots" },
    only: { type: "string", default: "" },
    accounts: { type: "string", default: "data/demo-accounts.json" },
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
  "plan-choice": "/plan",
  plan: `/plan?pack=${first}`,
  "plan-ladder": "/plan?protocol=current-ladder&chemistry=lipo&series=4&ratedCapacityMah=5000&labelContinuousC=30",
  "plan-refused": `/plan?pack=${first}&load=100000`,
  check: "/check",
  "check-judged": "/check",
  "check-columns": "/check",
  "check-refused": "/check",
  "check-discharges": "/check",
  "use-answer": `/choose?pack=${first}&pack=${second}&watts=900&seconds=60&repeats=3`,
  missing: "/packs/nothing",
  desk: "/desk",
  "desk-runs": "/desk#runs",
  "desk-run": "/desk#runs",
  "desk-notices": "/desk#notices",
  "desk-calibration": "/desk#calibration",
  "desk-nothing": "/desk#runs",
  "desk-queue": "/desk#queue",
  "desk-evidence": "/desk#queue",
  "desk-packs": "/desk#packs",
  "desk-decisions": "/desk#decisions",
  "desk-specimens": "/desk#specimens",
  "desk-benches": "/desk#benches",
  "desk-columns": "/desk#columns",
  "desk-duplicates": "/desk#duplicates/ridge",
  "desk-merge": `/desk#merge/${first}~${second}`,
  "desk-standings": "/desk#standings",
  "desk-accounts": "/desk#accounts",
  "desk-policies": "/desk#policies",
  "desk-protocols": "/desk#protocols",
  "desk-protocol": "/desk#protocol/full-load",
  "desk-dry-run": "/desk#reevaluations",
};

const [run = ""] = await writtenFiles({ "run.json": runOf("cutoff-depth") });
/** Files that are chosen at a page before it is looked at, and what then has to be seen. */
const FILES: Readonly<Record<string, readonly [files: readonly string[], seen: string]>> = {
  "check-judged": [[corpusLog("not-conforming", "cutoff-reached.csv"), run], "#figures h2"],
  "check-columns": [[corpusLog("ok", "scale-in-header.csv"), corpusLog("ok", "cells.csv")], "#trace h2"],
  "check-refused": [[corpusLog("not-ok", "two-voltages.csv")], "#refusal h2"],
  "check-discharges": [[corpusLog("not-ok", "two-discharges.csv")], "#discharges h2"],
};

/** Who signs in at a desk before it is looked at, and the link that is followed then. */
const DESKS: Readonly<Record<string, readonly [handle: string, link?: string]>> = {
  "desk-runs": ["gravelnotes"],
  "desk-run": ["gravelnotes", "a[href^='#run/']"],
  "desk-notices": ["gravelnotes"],
  "desk-calibration": ["gravelnotes"],
  "desk-nothing": [MODERATORS[0]],
  "desk-queue": [MODERATORS[0]],
  "desk-evidence": [MODERATORS[0], "a[href^='#review/']"],
  "desk-packs": [MODERATORS[0]],
  "desk-decisions": [MODERATORS[0]],
  "desk-specimens": ["gravelnotes"],
  "desk-benches": ["gravelnotes"],
  "desk-columns": ["gravelnotes"],
  "desk-duplicates": [MODERATORS[0]],
  "desk-merge": [MODERATORS[0]],
  "desk-standings": [MODERATORS[0]],
  "desk-accounts": ["ada"],
  "desk-policies": ["ada"],
  "desk-protocols": ["ada"],
  "desk-protocol": ["ada"],
  "desk-dry-run": ["ada", "a[href^='#reevaluation/']"],
};
const passwords = JSON.parse(await readFile(values.accounts, "utf8")) as Readonly<Record<string, string>>;

async function openDesk(page: Page, [handle, link]: readonly [handle: string, link?: string]): Promise<void> {
  await page.type("#sign-in [name=handle]", handle);
  await page.type("#sign-in [name=password]", passwords[handle] ?? "");
  await page.keyboard.press("Enter");
  const isDrawn = "#desk-view:not([aria-busy]) h2";
  await page.waitForSelector(isDrawn);
  if (!link) return;
  const title = await page.$eval(isDrawn, (heading) => heading.textContent);
  await page.click(link);
  await page.waitForFunction(
    `![undefined, ${JSON.stringify(title)}].includes(document.querySelector(${JSON.stringify(isDrawn)})?.textContent)`,
  );
}

await mkdir(values.to, { recursive: true });
const browser = await startChromium();
const named = Object.entries(PAGES).filter(([name]) => name.includes(values.only));
const isClosed = ([name]: readonly [string, string]) => DESKS[name] !== undefined && !passwords[DESKS[name][0]];
for (const [name] of named.filter(isClosed)) console.log(`${name} is left out: no password of ${DESKS[name]?.[0]}`);
const wanted = named.filter((one) => !isClosed(one));
for (const [name, path] of wanted) {
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
      const desk = DESKS[name];
      if (desk) await openDesk(page, desk);
      await page.screenshot({
        path: join(values.to, `${name}-${scheme}-${width}.png`) as `${string}.png`,
        fullPage: true,
      });
      await context.close();
    }
  }
}
await browser.close();
console.log(`${wanted.length} pages, four pictures each, in ${values.to}`);

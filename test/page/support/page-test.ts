import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { expect } from "@jest/globals";
import type { Browser, Page } from "puppeteer-core";
import type { TestApp } from "../../support/app.js";
import type { PageRecord } from "./record.js";

/** The service and the browser that all tests of pages share. */
export interface PageTest {
  readonly app: TestApp;
  readonly browser: Browser;
  readonly record: PageRecord;
}

/** What somebody may store or put into an address: it has to stay text. */
export const MARKUP = '"><img src=x onerror=alert(1)>';

/** Widths of a phone at the bench and of a desk, CSS pixels. */
export const PHONE = { width: 360, height: 780, isMobile: true, hasTouch: true };
export const DESK = { width: 1280, height: 900 };

const axe = readFileSync(fileURLToPath(import.meta.resolve("axe-core/axe.min.js")), "utf8");

/** A tab, with what went wrong in it and what it asked for. */
export interface Tab {
  readonly page: Page;
  /** Errors of scripts and of the console, and answers of 400 and above to what a page loads. */
  readonly faults: string[];
  /** Every address that was asked. */
  readonly asked: string[];
  open(path: string): Promise<void>;
  close(): Promise<void>;
}

/** Of a reader whom motion disturbs: a page that still scrolls has moved a button away by the time it is clicked. */
const STILL = { name: "prefers-reduced-motion", value: "reduce" };

/** A tab of its own, with cookies of its own. */
export async function openTab({ app, browser }: PageTest, view: typeof DESK = DESK): Promise<Tab> {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  const [faults, asked]: [string[], string[]] = [[], []];
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warn") faults.push(message.text());
  });
  page.on("pageerror", (error) => void faults.push(String(error)));
  page.on("request", (request) => void asked.push(request.url()));
  await page.setViewport(view);
  await page.emulateMediaFeatures([STILL]);
  // Waits for as long as a busy machine takes; jest ends a test that hangs.
  page.setDefaultTimeout(0);
  return {
    page,
    faults,
    asked,
    open: async (path) => void (await page.goto(new URL(path, app.url).href, { waitUntil: "load" })),
    close: () => context.close(),
  };
}

/** Shows the page in light or dark, as the reader's system says. */
export const wear = (page: Page, scheme: "light" | "dark"): Promise<void> =>
  page.emulateMediaFeatures([STILL, { name: "prefers-color-scheme", value: scheme }]);

interface Violation {
  readonly id: string;
  readonly nodes: readonly { readonly target: readonly unknown[]; readonly failureSummary: string }[];
}

interface Axe {
  run(options: { readonly resultTypes: readonly string[] }): Promise<{ readonly violations: readonly Violation[] }>;
}

/** What axe-core finds of WCAG 2.2 levels A and AA and of its own best practices, as "rule: element". */
export async function accessibilityFaults(page: Page): Promise<string[]> {
  // Half a megabyte of script: a page that stays where it is, in another scheme or width, has it already.
  if (await page.evaluate("globalThis.axe === undefined")) await page.evaluate(axe);
  return page.evaluate(async () => {
    // Of what passes, which is nearly every element for every rule, nothing is told.
    const { violations } = await (globalThis as unknown as { axe: Axe }).axe.run({ resultTypes: ["violations"] });
    return violations.flatMap(({ id, nodes }) =>
      nodes.map(({ target, failureSummary }) => `${id}: ${target.join(" ")} (${failureSummary})`),
    );
  });
}

/** Holds a page to what every page must keep, in both schemes and at both widths. */
export async function holdToEveryPage({ page, faults, asked }: Tab, origin: string): Promise<void> {
  for (const scheme of ["light", "dark"] as const) {
    await wear(page, scheme);
    expect({ scheme, faults: await accessibilityFaults(page) }).toEqual({ scheme, faults: [] });
  }
  // As wide as a phone and no more than that: a change of touch would load the page anew, without what was shown on it.
  await page.setViewport({ width: PHONE.width, height: PHONE.height });
  const overflow = await page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth");
  expect({ at: page.url(), overflow }).toEqual({ at: page.url(), overflow: 0 });
  expect({ phone: await accessibilityFaults(page) }).toEqual({ phone: [] });
  await page.setViewport(DESK);
  expect(
    asked.filter((url) => new URL(url).origin !== origin && !url.startsWith("data:") && !url.startsWith("blob:")),
  ).toEqual([]);
  expect(faults).toEqual([]);
}

import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { Browser } from "puppeteer-core";
import { startTestApp, type TestApp } from "../support/app.js";
import { startChromium } from "./support/chromium.js";
import { accessibilityFaults } from "./support/page-test.js";

let app: TestApp;
let browser: Browser;
beforeAll(async () => {
  [app, browser] = await Promise.all([startTestApp(), startChromium()]);
});
afterAll(async () => {
  await browser?.close();
  await app?.close();
});

/**
 * What the library draws and takes no option for: a button within each button that opens an operation, parts of its head beside
 * its own main part, and tags as headings of level 3 below a title of level 1.
 */
const OF_THE_LIBRARY = ["heading-order", "nested-interactive", "region"];

it("the page of the API keeps WCAG 2.2 AA but for what its library draws without a choice", async () => {
  const page = await browser.newPage();
  await page.goto(`${app.url}/docs`);
  await page.waitForSelector(".opblock");
  const faults = await accessibilityFaults(page);
  expect(faults.filter((fault) => !OF_THE_LIBRARY.includes(fault.split(":", 1)[0] ?? ""))).toEqual([]);
  expect(await page.title()).toBe("Packledger API");
  await page.close();
});

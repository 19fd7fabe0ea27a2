import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { Browser } from "puppeteer-core";
import { startTestApp, type TestApp } from "../support/app.js";
import { testColumns } from "./check/columns.js";
import { testParity } from "./check/parity.js";
import { testReadingLogs } from "./check/reading-logs.js";
import { testSubmitting } from "./check/submitting.js";
import { testAdministrating } from "./desk/administrating.js";
import { testStandings } from "./desk/disputed-standings.js";
import { testMerging } from "./desk/keeping-register.js";
import { testModerating } from "./desk/moderating.js";
import { testOwnRuns } from "./desk/own-runs.js";
import { testRegistering } from "./desk/registering.js";
import { testEveryPage } from "./every-page.js";
import { testPlanning } from "./planning.js";
import { testReading } from "./reading.js";
import { startChromium } from "./support/chromium.js";
import type { PageTest } from "./support/page-test.js";
import { fillRecord } from "./support/record.js";

let app: TestApp;
let browser: Browser;
let test: PageTest;
beforeAll(async () => {
  app = await startTestApp();
  browser = await startChromium();
  test = { app, browser, record: await fillRecord(app) };
});
afterAll(async () => {
  await browser?.close();
  await app?.close();
});

// The field Accept of a browser that goes to an address (Fetch standard, 4.4, "document").
const BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8";

describe("the first address", () => {
  it("answers browsers with a page and programs with where to look (RFC 9110, 12.5.1)", async () => {
    const page = await app.inject({ url: "/", headers: { accept: BROWSER } });
    expect(page.headers["content-type"]).toBe("text/html; charset=utf-8");
    for (const accept of ["*/*", "application/json", "application/json, text/html;q=0.5"]) {
      const { links } = (await app.inject({ url: "/", headers: { accept } })).json<{
        links: { openApi: string };
      }>();
      expect(links.openApi).toBe("/openapi.json");
    }
  });

  it("lets a page run and load nothing but files of its own (Content Security Policy Level 3)", async () => {
    const { headers, body } = await app.inject({ url: "/", headers: { accept: BROWSER } });
    const policy = String(headers["content-security-policy"]);
    expect(policy).toMatch(/default-src 'none'/);
    expect(policy).not.toMatch(/unsafe|https?:|\*/);
    expect(body).not.toMatch(/<script(?![^>]*\bsrc=)|<style|\bstyle="|\bon[a-z]+="|javascript:/i);
  });
});

testReading(() => test);
testPlanning(() => test);
testEveryPage(() => test);
// Before more runs wait for a moderator.
describe("a desk of one's own", () => {
  testModerating(() => test);
  testMerging(() => test);
  testOwnRuns(() => test);
  testRegistering(() => test);
  testStandings(() => test);
});
describe("a log checked in the browser", () => {
  testReadingLogs(() => test);
  testColumns(() => test);
  testSubmitting(() => test);
  testParity(() => test);
});
// Last: it publishes a version of a protocol, and policies change what is established.
describe("the desk of an administrator", () => {
  testAdministrating(() => test);
});

import { describe, expect, it } from "@jest/globals";
import { holdToEveryPage, MARKUP, openTab, type PageTest } from "./support/page-test.js";

const MAX_FIRST_VIEW_BYTES = 200 * 1024;

/** What every page keeps, and what none does. */
export function testEveryPage(test: () => PageTest): void {
  const pages: Readonly<Record<string, () => string>> = {
    "the first page": () => "/",
    "a ranking by resistance": () => "/rankings?figure=resistance-10s",
    "the packs": () => "/packs",
    "packs that do not exist": () => "/packs?search=nothing-like-it",
    "a pack known well": () => `/packs/${test().record.packs.regatta}`,
    "a pack known little": () => `/packs/${test().record.packs.slipway}`,
    "a pack without runs": () => `/packs/${test().record.packs.keel}`,
    "the choice of a comparison": () => "/compare",
    "a comparison": () => `/compare?pack=${test().record.packs.regatta}&pack=${test().record.packs.ridge}`,
    "a use": () => "/choose",
    "an answer for a use": () => `/choose?watts=900&pack=${test().record.packs.regatta}`,
    "the choice of a plan": () => "/plan",
    "a plan": () => `/plan?pack=${test().record.packs.regatta}`,
    "a plan of a ladder": () =>
      "/plan?protocol=current-ladder&chemistry=lipo&series=4&ratedCapacityMah=5000&labelContinuousC=30",
    "a plan beyond the label": () => `/plan?pack=${test().record.packs.regatta}&load=100000`,
    "a use that is filled in wrongly": () => "/choose?watts=-1",
  };

  describe("every page keeps WCAG 2.2 AA in light, dark and on a phone, asks no other origin and reports no error", () => {
    it.each(Object.keys(pages))("%s", async (name) => {
      const tab = await openTab(test());
      await tab.open(pages[name]?.() ?? "");
      await holdToEveryPage(tab, new URL(test().app.url).origin);
      await tab.close();
    });
  });

  it("the first view is light: page, styles and scripts as sent", async () => {
    const { app } = test();
    const get = (url: string) =>
      app.inject({ url, headers: { accept: "text/html,*/*;q=0.8", "accept-encoding": "br" } });
    const page = await app.inject({ url: "/", headers: { accept: "text/html,*/*;q=0.8" } });
    const loaded = [...page.body.matchAll(/(?:href|src)="(\/assets\/[^"]+)"/g)].map(([, url]) => String(url));
    const answers = await Promise.all(["/", ...loaded].map(get));
    expect(loaded.length).toBeGreaterThan(1);
    expect(answers.map(({ statusCode }) => statusCode)).toEqual(answers.map(() => 200));
    const bytes = answers.reduce((sum, { rawPayload }) => sum + rawPayload.length, 0);
    console.log(`first view: ${bytes} bytes compressed in ${answers.length} answers`);
    expect(bytes).toBeLessThan(MAX_FIRST_VIEW_BYTES);
  });

  it("shows markup that somebody stored or put into an address as text", async () => {
    const { app, record } = test();
    const { regatta = "" } = record.packs;
    const before = await app.database.pack.findUniqueOrThrow({ where: { id: regatta } });
    await app.database.pack.update({ where: { id: regatta }, data: { name: MARKUP } });
    const query = encodeURIComponent(MARKUP);
    for (const path of [
      `/packs/${regatta}`,
      "/packs",
      `/packs?search=${query}`,
      `/choose?watts=${query}`,
      `/plan?pack=${regatta}`,
      `/plan?protocol=${query}&chemistry=${query}&series=${query}&ratedCapacityMah=${query}&load=${query}`,
      `/rankings?class=${query}`,
      `/compare?pack=${regatta}&pack=${record.packs.ridge}`,
    ]) {
      const tab = await openTab(test());
      await tab.open(path);
      expect({ path, images: await tab.page.$$eval("img", (images) => images.length) }).toEqual({ path, images: 0 });
      // A browser reports the status of the page itself too, where the address cannot be used.
      expect(tab.faults.filter((fault) => !fault.includes("status of 422"))).toEqual([]);
      if (path === "/packs") expect(await tab.page.$eval("main", (main) => main.textContent)).toContain(MARKUP);
      await tab.close();
    }
    await app.database.pack.update({ where: { id: regatta }, data: { name: before.name } });
  });

  it("a page that is not there says so in words, with its status", async () => {
    const { app } = test();
    const answer = await app.inject({ url: "/packs/nothing", headers: { accept: "text/html" } });
    expect([answer.statusCode, answer.headers["content-type"]]).toEqual([404, "text/html; charset=utf-8"]);
    expect(answer.body).toContain("There is no such page");
  });

  it.each([
    ["figure=nope", 404, "Packs are not ranked by this figure."],
    ["class=lipo-99", 200, "99S LiPo"],
    ["class=lipo-0", 422, "series"],
    ["class=soup", 422, "chemistry"],
    ["load=81", 422, "load"],
    ["load=much", 422, "load"],
    ["figure=resistance-two-pulse&load=100", 422, "must be left out"],
    ["class=lifepo4-14", 200, "14S LiFePO\u2084"],
  ])("no other ranking is shown in place of one that cannot be: %s", async (query, status, words) => {
    const answer = await test().app.inject({ url: `/rankings?${query}`, headers: { accept: "text/html" } });
    expect([answer.statusCode, answer.headers["content-type"]]).toEqual([status, "text/html; charset=utf-8"]);
    expect(answer.body).toContain(words);
  });
}

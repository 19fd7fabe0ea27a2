import { describe, expect, it } from "@jest/globals";
import { choose, corpusLog, entered, said, textOf } from "./support/check-tab.js";
import { tabTo } from "./support/keyboard.js";
import { DESK, openTab, type PageTest, PHONE, type Tab } from "./support/page-test.js";

const heldBy = ({ page }: Tab, selector: string) =>
  page.$eval(selector, (field) => (field as unknown as { value: string }).value);

/** Taps what has come to stand still: pages scroll smoothly, and a tap meanwhile would meet what is beside it. */
async function tap({ page }: Tab, selector: string): Promise<void> {
  await page.$eval(selector, (found) =>
    (found as unknown as { scrollIntoView(how: object): void }).scrollIntoView({
      behavior: "instant",
      block: "center",
    }),
  );
  await page.tap(selector);
}

/** A test planned on a phone at the bench, and what was noted there taken over when its log is checked. */
export function testPlanning(test: () => PageTest): void {
  describe("a test planned", () => {
    it("shows cautions, then load, cut-outs, what to expect and the checklist, without a script", async () => {
      const { app, record } = test();
      const { body, statusCode } = await app.inject({
        url: `/plan?pack=${record.packs.regatta}`,
        headers: { accept: "text/html" },
      });
      expect(statusCode).toBe(200);
      const titles = [...body.matchAll(/<h2[^>]*>([^<]+)/g)].map(([, title]) => title);
      expect(titles.slice(0, 5)).toEqual([
        "Read this first",
        "Set the load",
        "Set the cut-outs",
        "Expect about this",
        "Checklist",
      ]);
      const plan = (await app.inject({ url: `/v1/plans?protocol=full-load&packId=${record.packs.regatta}` })).json<{
        checklist: object[];
        cautions: string[];
        stop: { cutoffVolts: number };
      }>();
      expect(body.match(/type="checkbox"/g)?.length).toBe(plan.checklist.length);
      for (const caution of plan.cautions) expect(body).toContain(caution.replaceAll("'", "&#39;"));
      expect(body).toContain(`<b>${plan.stop.cutoffVolts}</b> V`);
    });

    it("says in words why there is no plan: beyond the label, or of no pack", async () => {
      const { app, record } = test();
      for (const [query, words] of [
        [
          `protocol=full-load&pack=${record.packs.regatta}&load=100000`,
          /Current to draw must be at most .* on the label/,
        ],
        ["protocol=full-load&chemistry=lipo", /Choose a pack of the record, or give chemistry/],
        ["protocol=full-load&chemistry=lipo&series=x&ratedCapacityMah=5000", /Cells in series must be/],
      ] as const) {
        const { body } = await app.inject({ url: `/plan?${query}`, headers: { accept: "text/html" } });
        expect(body).toMatch(words);
        expect(body).toContain("Lithium packs can vent and burn");
      }
    });

    it("keeps what is noted on a phone, and gives it to the check of the log only when told to", async () => {
      const tab = await openTab(test(), PHONE);
      await tab.open(`/packs/${test().record.packs.regatta}`);
      await Promise.all([tab.page.waitForNavigation(), tap(tab, "a[href^='/plan?']")]);
      await tap(tab, ".checklist input");
      for (const [name, text] of Object.entries({ ambientC: "21.5", restMinutes: "45", specimen: "Blue dot" })) {
        await tab.page.type(`#draft [name=${name}]`, text);
      }
      await tap(tab, "#draft-now");
      await said(tab, "draft-status", /^Kept in this browser/);
      const began = await heldBy(tab, "#draft [name=startedAt]");
      await tab.page.reload();
      expect(await heldBy(tab, "#draft [name=restMinutes]")).toBe("45");
      expect(await heldBy(tab, "#draft [name=startedAt]")).toBe(began);
      expect(await tab.page.$eval(".checklist input", (box) => (box as unknown as { checked: boolean }).checked)).toBe(
        true,
      );

      await Promise.all([tab.page.waitForNavigation(), tap(tab, "a.button[href='/check']")]);
      expect(await textOf(tab, "drafts")).toMatch(/Quillamber.*Regatta.*Blue dot.*21.5 °C.*rested 45 min/);
      expect(await entered(tab, "ambientC")).toBe("");
      await tap(tab, "#drafts button");
      expect([
        await entered(tab, "protocol"),
        await entered(tab, "ambientC"),
        await entered(tab, "pack.series"),
      ]).toEqual(["full-load", "21.5", "4"]);
      await choose(tab, corpusLog("not-conforming", "cutoff-depth.csv"));
      await said(tab, "log-status", /rows/);
      expect([await entered(tab, "restMinutes"), await heldBy(tab, "#submit [name=startedAt]")]).toEqual(["45", began]);
      await tap(tab, "#drafts li button:last-of-type");
      await tab.page.waitForSelector("#drafts[hidden]");
      expect(tab.faults).toEqual([]);
      // Nothing of the notes leaves the device before their run is submitted.
      expect(tab.asked.filter((url) => /Blue|21\.5/.test(url) || /\/v1\//.test(url))).toEqual([]);
      await tab.close();
    });

    it("is made of a pack that is described, with the keyboard alone, and a ladder goes on", async () => {
      const tab = await openTab(test(), DESK);
      await tab.open("/plan");
      await tabTo(tab, "[name=protocol]");
      await tab.page.keyboard.type("Constant");
      for (const [name, text] of [
        ["chemistry", "LiFe"],
        ["series", "4"],
        ["ratedCapacityMah", "3000"],
      ] as const) {
        await tabTo(tab, `[name=${name}]`);
        await tab.page.keyboard.type(text);
      }
      await Promise.all([tab.page.waitForNavigation(), tab.page.keyboard.press("Enter")]);
      expect(await tab.page.$eval(".planned", (one) => one.textContent)).toMatch(/4S LiFePO₄ · 3000 mAh/);
      expect(await tab.page.$eval("[aria-labelledby=load]", (one) => one.textContent)).toMatch(/first step/);
      await tabTo(tab, ".checklist input");
      await tab.page.keyboard.press("Space");
      await tabTo(tab, "#draft [name=ambientC]");
      await tab.page.keyboard.type("20");
      await said(tab, "draft-status", /^Kept/);
      await tabTo(tab, "#draft-forget");
      await tab.page.keyboard.press("Enter");
      await said(tab, "draft-status", /^Forgotten/);
      expect(await tab.page.evaluate("localStorage.getItem('packledger drafts')")).toBe("[]");
      expect(tab.faults).toEqual([]);
      await tab.close();
    });
  });
}

import { describe, expect, it } from "@jest/globals";
import { openTab, type PageTest } from "./support/page-test.js";

/** What a reader does with rankings, packs and comparisons, with the mouse and with the keyboard alone. */
export function testReading(test: () => PageTest): void {
  describe("a reader without an account", () => {
    it("is shown at the first address what packs deliver, and that few stand behind it", async () => {
      const tab = await openTab(test());
      await tab.open("/");
      expect(await tab.page.$eval("h1", (heading) => heading.textContent)).toBe("What packs really deliver");
      const places = await tab.page.$$eval(".standings .place", (all) => all.map((one) => one.textContent?.trim()));
      expect(places).toEqual(["provisional", "provisional", "provisional"]);
      await tab.close();
    });

    it("chooses two packs with the keyboard alone and is shown what differs", async () => {
      const tab = await openTab(test());
      await tab.open("/");
      for (let chosen = 0; chosen < 2; ) {
        await tab.page.keyboard.press("Tab");
        const isBox = await tab.page.evaluate("document.activeElement.matches('input[name=pack]')");
        if (!isBox) continue;
        await tab.page.keyboard.press("Space");
        chosen++;
      }
      for (let at = ""; !/^Compare 2 packs$/.test(at); ) {
        await tab.page.keyboard.press("Tab");
        at = String(await tab.page.evaluate("document.activeElement.textContent"));
      }
      await Promise.all([tab.page.waitForNavigation(), tab.page.keyboard.press("Enter")]);
      expect(await tab.page.$eval("h1", (heading) => heading.textContent)).toBe("Comparison of 2 packs");
      const said = await tab.page.$$eval(".differences .label", (all) => all.map((one) => one.textContent ?? ""));
      expect(said.some((one) => /(real|not distinguishable)$/.test(one))).toBe(true);
      expect(tab.faults).toEqual([]);
      await tab.close();
    });

    it("follows a pack from the ranking with the mouse, and asks whether it does for a use", async () => {
      const tab = await openTab(test());
      await tab.open("/rankings");
      await Promise.all([tab.page.waitForNavigation(), tab.page.click(".standings tbody a")]);
      expect(await tab.page.$$eval(".chart", (charts) => charts.length)).toBe(2);
      await Promise.all([tab.page.waitForNavigation(), tab.page.click("a.button")]);
      await Promise.all([tab.page.waitForNavigation(), tab.page.click("form[action='/choose'] button")]);
      expect(await tab.page.$eval(".caution", (caution) => caution.textContent)).toMatch(/swollen or damaged/);
      expect(await tab.page.$$eval(".answer .verdict", (all) => all.length)).toBe(1);
      expect(tab.faults).toEqual([]);
      await tab.close();
    });
  });
}

import { expect, it } from "@jest/globals";
import { choose, openCheck, said, shown, textOf, writtenFiles } from "../support/check-tab.js";
import { goTo, openDesk, viewed } from "../support/desk-tab.js";
import { tabTo } from "../support/keyboard.js";
import { holdToEveryPage, type PageTest, type Tab } from "../support/page-test.js";

/** Fills the fields of a form in order by their labels, with the keyboard alone. */
async function fill(tab: Tab, form: string, entries: readonly (readonly [label: string, text: string])[]) {
  for (const [label, text] of entries) {
    const id = await tab.page.$$eval(
      `${form} label`,
      (labels, wanted) => labels.find((one) => one.textContent?.startsWith(wanted))?.getAttribute("for") ?? "",
      label,
    );
    await tabTo(tab, `[id="${id}"]`);
    await tab.page.keyboard.type(text);
  }
}

/** What a tester registers before the first run: packs, specimens, benches, and how a logger's columns are read. */
export function testRegistering(test: () => PageTest): void {
  it("registers a pack, its specimen and a bench by keyboard, with the service's words at the fields", async () => {
    const { app, record } = test();
    const origin = new URL(app.url).origin;
    await app.signIn("newcomer");
    const tab = await openDesk(test(), "newcomer", "#specimens");
    await viewed(tab, /^Your specimens/);
    expect(await textOf(tab, "desk-view")).toMatch(/Never test a pack that is hot, swollen or damaged/);
    await tabTo(tab, ".step [name=pack]");
    await tab.page.keyboard.type("Nothing like it");
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /no pack that is called like that/);
    await tabTo(tab, ".step summary");
    await tab.page.keyboard.press("Enter");
    const pack = ".step details form";
    await fill(tab, pack, [
      ["Maker", "Bracknor"],
      ["Name", "Slipwey"],
      ["Cells in series", "four"],
      ["Rated capacity", "5000"],
    ]);
    await tabTo(tab, `${pack} .actions button`);
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForSelector(`${pack} .faults:focus`);
    expect(await tab.page.$eval(`${pack} .faults`, (one) => one.textContent)).toMatch(/Cells in series: must be/);
    await holdToEveryPage({ ...tab, faults: [] }, origin);
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("422")]);
    await tab.page.click(`${pack} .faults a`);
    await tab.page.keyboard.press("End");
    for (const _ of "four") await tab.page.keyboard.press("Backspace");
    await tab.page.keyboard.type("4");
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForFunction("/Is it one of these/.test(document.querySelector('.step').textContent)");
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("409")]);
    await holdToEveryPage(tab, origin);
    await tabTo(tab, ".step .plainly button");
    await tab.page.keyboard.press("Enter");
    await fill(tab, ".step form", [
      ["Your name for it", "Blue tape"],
      ["Age in full cycles", "3"],
    ]);
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /^Registered: Blue tape, a specimen of .*Slipway/);
    const specimen = await app.database.specimen.findFirstOrThrow({ where: { label: "Blue tape" } });
    expect(specimen).toMatchObject({ packId: record.packs.slipway, cycles: 3 });
    await holdToEveryPage(tab, origin);

    await goTo(tab, "benches", /^Your benches/);
    const bench = "[aria-label='Register a bench'] form";
    await fill(tab, bench, [
      ["Your name for it", "Cellar"],
      ["Voltage, %", "0.1"],
      ["Voltage, fixed", "0,005"],
      ["Current, %", "0.5"],
    ]);
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForSelector(`${bench} .faults:focus`);
    expect(await tab.page.$eval(`${bench} .faults`, (one) => one.textContent)).toMatch(/Current, fixed part, A: /);
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("422")]);
    await fill(tab, bench, [["Current, fixed", "0.1"]]);
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /^Registered: Cellar/);
    expect(await app.database.bench.findFirstOrThrow({ where: { label: "Cellar" } })).toMatchObject({
      voltageOffset: 0.005,
      currentOffset: 0.1,
      temperatureOffset: null,
    });
    await holdToEveryPage(tab, origin);
    await tab.page.click(".run summary");
    await tab.page.type(".run form textarea", "Another shunt.");
    await tab.page.click(".run form .actions button");
    await said(tab, "desk-status", /^Stated otherwise: Cellar/);
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("saves a mended column map where a log is checked, picks it again, and removes it at the desk", async () => {
    const { app } = test();
    await app.signIn("mapper");
    const rows = Array.from({ length: 80 }, (_, i) =>
      [i * 0.5, i < 30 ? 16.7 : 15 - i / 100, i < 30 ? 0 : 60].join(","),
    );
    const log = ["t [s],Input [V],I [A]", ...rows].join("\n");
    const files = await writtenFiles({ "odd.csv": log });
    const tab = await openCheck(test());
    await choose(tab, ...files);
    await tab.page.waitForSelector("#columns select");
    await tab.page.select('#columns select[aria-label="Read Input [V] as"]', "voltage");
    await shown(tab, "trace");
    expect(await tab.page.$eval("#columns", (one) => one.textContent)).toMatch(/Sign in below to keep/);
    await tab.page.type("#sign-in [name=handle]", "mapper");
    await tab.page.type("#sign-in [name=password]", "correct horse battery");
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForSelector(".keep-map input");
    await tabTo(tab, ".keep-map input", true);
    await tab.page.keyboard.type("Shed logger");
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForFunction("/Shed logger/.test(document.querySelector('.saved-maps')?.textContent)");
    const saved = await app.database.columnMap.findFirstOrThrow({ where: { label: "Shed logger" } });
    expect(saved.header).toEqual(["t [s]", "Input [V]", "I [A]"]);
    await holdToEveryPage(tab, new URL(app.url).origin);

    await tab.page.locator("#columns button ::-p-text(by their headers again)").click();
    await tab.page.waitForSelector("#columns .saved-maps select");
    await tab.page.select("#columns .saved-maps select", "Shed logger");
    await shown(tab, "trace");
    expect(tab.faults).toEqual([]);
    await tab.close();

    const desk = await openDesk(test(), "mapper", "#columns");
    await viewed(desk, /^Your column maps/);
    await holdToEveryPage(desk, new URL(app.url).origin);
    await tabTo(desk, ".run button");
    await desk.page.keyboard.press("Enter");
    await said(desk, "desk-status", /^Removed: Shed logger/);
    expect(await app.database.columnMap.count({ where: { label: "Shed logger" } })).toBe(0);
    await desk.close();
  });
}

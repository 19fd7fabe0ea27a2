import { expect, it } from "@jest/globals";
import { choose, corpusLog, openCheck, said, shown, textOf, writtenFiles } from "../support/check-tab.js";
import type { PageTest, Tab } from "../support/page-test.js";

const readAs = ({ page }: Tab) =>
  page.$$eval("#columns tbody tr", (rows) =>
    rows.map((row) => [row.querySelector("th")?.textContent, row.querySelector("select")?.value]),
  );

/** What a tester changes of how a log is read, and which of several logs and discharges is the run. */
export function testColumns(test: () => PageTest): void {
  it("names by keyboard which column is which, where a log leaves it open, and reads it by the headers again", async () => {
    const tab = await openCheck(test());
    await choose(tab, corpusLog("not-ok", "two-voltages.csv"));
    await shown(tab, "refusal");
    await tab.page.focus("#refusal .options button");
    await tab.page.keyboard.press("Enter");
    await shown(tab, "trace");
    await said(tab, "log-status", /^two-voltages\.csv: \d+ rows read on this device/);
    const voltages = (await readAs(tab)).filter(([, channel]) => channel === "voltage");
    expect(voltages).toHaveLength(1);
    const [named] = voltages[0] ?? [];
    const headers = (await readAs(tab)).map(([header]) => header ?? "");
    const other = headers.find((header) => header !== named && /v/i.test(header));
    await tab.page.select(`#columns select[aria-label="Read ${other} as"]`, "voltage");
    await tab.page.waitForFunction(`document.querySelector('[aria-label="Read ${named} as"]').value === ""`);
    expect((await readAs(tab)).filter(([, channel]) => channel === "voltage")).toEqual([[other, "voltage"]]);
    await tab.page.locator("#columns button ::-p-text(by their headers again)").click();
    await shown(tab, "refusal");
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("changes one column and leaves the scales of the others as their headers say", async () => {
    const tab = await openCheck(test());
    const rows = Array.from({ length: 80 }, (_, i) => {
      const [volts, amps] = i < 30 ? [16.7, 0] : [15 - i / 100, 60];
      return [i * 500, Math.round(volts * 100), amps * 1000, volts * amps, 25].join(",");
    });
    const header = "t [ms],Pack [V] x100,I [mA],P [W],T [degC]";
    await choose(tab, ...(await writtenFiles({ "scaled.csv": [header, ...rows].join("\n") })));
    await shown(tab, "trace");
    const axis = () => tab.page.$$eval("#trace .tick", (all) => all.map((one) => one.textContent));
    const before = await axis();
    await tab.page.select('#columns select[aria-label="Read P [W] as"]', "");
    await tab.page.waitForSelector("#columns tr.aside");
    expect(await axis()).toEqual(before);
    const factor = await tab.page.$eval(
      '#columns [aria-label="Multiplied by, Pack [V] x100"]',
      (one) => (one as unknown as { value: string }).value,
    );
    expect(factor).toBe("0.01");
    await tab.close();
  });

  it("chooses by keyboard, and by pointing at the drawing, which of several discharges is the run", async () => {
    const tab = await openCheck(test());
    await choose(tab, corpusLog("not-ok", "two-discharges.csv"));
    await shown(tab, "discharges");
    const chosen = () => tab.page.$$eval("#discharges input", (all) => all.map((one) => one.checked));
    await tab.page.focus("#discharges input");
    await tab.page.keyboard.press("ArrowDown");
    await tab.page.waitForSelector("#trace .band.chosen");
    expect(await chosen()).toEqual([false, true]);
    const first = await tab.page.$("#trace .band.discharge");
    await first?.scrollIntoView();
    const box = await first?.boundingBox();
    await tab.page.mouse.click((box?.x ?? 0) + (box?.width ?? 0) / 2, (box?.y ?? 0) + (box?.height ?? 0) / 2);
    await tab.page.waitForFunction("document.querySelector('#discharges input').checked");
    expect(await chosen()).toEqual([true, false]);
    expect(await tab.page.evaluate("document.activeElement.name")).toBe("discharge");
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("takes a log that is dropped by the mouse anywhere, and reads several one at a time", async () => {
    const tab = await openCheck(test());
    const logs = ["load-rise.csv", "cutoff-depth.csv"].map((name) => corpusLog("not-conforming", name));
    const session = await tab.page.createCDPSession();
    const data = { items: [], files: logs, dragOperationsMask: 1 };
    for (const type of ["dragEnter", "dragOver", "drop"] as const) {
      await session.send("Input.dispatchDragEvent", { type, x: 600, y: 60, data });
    }
    await said(tab, "log-status", /load-rise\.csv/);
    expect(await textOf(tab, "logs")).toMatch(/2 logs: which one is read/);
    await tab.page.focus("#logs input");
    await tab.page.keyboard.press("ArrowDown");
    await said(tab, "log-status", /cutoff-depth\.csv: \d+ rows/);
    expect(tab.faults).toEqual([]);
    await tab.close();
  });
}

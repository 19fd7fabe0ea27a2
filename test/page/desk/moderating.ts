import { expect, it } from "@jest/globals";
import { said, textOf } from "../support/check-tab.js";
import { goTo, openDesk, viewed } from "../support/desk-tab.js";
import { tabTo } from "../support/keyboard.js";
import { holdToEveryPage, type PageTest } from "../support/page-test.js";

/** What a moderator does: the riskiest run first, its evidence, a decision and its way back. */
export function testModerating(test: () => PageTest): void {
  const reviewOf = async (key: string) => {
    const id = test().record.runs[key] ?? "";
    return (await test().app.database.run.findUniqueOrThrow({ where: { id }, select: { review: true } })).review;
  };

  it("decides by the keyboard alone on one screen of evidence, undoes it, and accepts with the mouse", async () => {
    const { app, record } = test();
    const origin = new URL(app.url).origin;
    const tab = await openDesk(test(), "mona", "#queue");
    await viewed(tab, /^To decide/);
    const queued = await tab.page.$$eval(".queue a", (links) => links.map((link) => link.getAttribute("href")));
    expect(queued).toEqual([`#review/${record.runs["run-43"]}`, `#review/${record.runs["run-30"]}`]);
    await holdToEveryPage(tab, origin);

    await tabTo(tab, ".queue a");
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /Slipway, by gravelnotes/);
    expect(await textOf(tab, "desk-view")).toMatch(/Looks like another run[\s\S]*Looks like the same measurement/);
    // The run, the one that it copies, and the pack's other public full loads.
    expect(
      await tab.page.$$eval(".evidence .chart", (charts) => charts.map((one) => one.querySelectorAll("path").length)),
    ).toEqual([3, 3]);
    await holdToEveryPage(tab, origin);
    await tabTo(tab, ".decide input[type=radio]");
    await tab.page.keyboard.press("r");
    await tab.page.keyboard.type("The trace is that of another run; ask me if not.");
    await tabTo(tab, ".decide .actions button");
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /Keel, by tidewatch/);
    await said(tab, "desk-status", /^Rejected: .*Slipway by gravelnotes/);
    expect(await reviewOf("run-43")).toBe("rejected");
    await tabTo(tab, "#desk-status button", true);
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /Slipway, by gravelnotes/);
    expect(await reviewOf("run-43")).toBe("pending");

    await goTo(tab, "queue", /^To decide/);
    await tab.page.click(`.queue a[href="#review/${record.runs["run-30"]}"]`);
    await viewed(tab, /Keel, by tidewatch/);
    await tab.page.click(".decide input[value=accept]");
    await tab.page.click(".decide .actions button");
    await said(tab, "desk-status", /^Accepted: .*Keel by tidewatch/);
    expect(await reviewOf("run-30")).toBe("accepted");
    await viewed(tab, /Slipway/);
    await goTo(tab, "decisions", /^Your decisions/);
    expect(await tab.page.$eval(".notices li", (first) => first.textContent)).toMatch(
      /Accepted: .*Keel by tidewatch.*now.*Undo/s,
    );
    await holdToEveryPage(tab, origin);
    await tab.page.click(".notices li button");
    await viewed(tab, /Keel, by tidewatch/);
    await said(tab, "desk-status", /undone/);
    expect(await reviewOf("run-30")).toBe("pending");
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("confirms a pack held against its label, and takes it back; a tester is offered none of it", async () => {
    const { app, record } = test();
    const keel = { where: { id: record.packs.keel ?? "" }, select: { confirmedAt: true } };
    const tab = await openDesk(test(), "mona", "#packs");
    await viewed(tab, /^Packs to confirm/);
    const card = `li:has(a[href="/packs/${record.packs.keel}"])`;
    await tab.page.click(`${card} summary`);
    await holdToEveryPage(tab, new URL(app.url).origin);
    await tab.page.click(`${card} [value=label]`);
    await tab.page.click(`${card} form .actions button`);
    await said(tab, "desk-status", /^Confirmed: .*Keel/);
    expect((await app.database.pack.findUniqueOrThrow(keel)).confirmedAt).not.toBeNull();
    expect(await tab.page.$(card)).toBeNull();
    await tab.page.click("#desk-status button");
    await said(tab, "desk-status", /taken back/);
    expect((await app.database.pack.findUniqueOrThrow(keel)).confirmedAt).toBeNull();
    expect(tab.faults).toEqual([]);
    await tab.close();

    const other = await openDesk(test(), "hairpin", "#queue");
    await viewed(other, /^Your runs/);
    expect(await textOf(other, "desk-places")).toMatch(/^Your runsNotices[^C]*CalibrationSpecimensBenchesColumn maps$/);
    await other.close();
  });
}

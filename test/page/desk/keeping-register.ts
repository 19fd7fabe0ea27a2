import { expect, it } from "@jest/globals";
import { said, textOf } from "../support/check-tab.js";
import { openDesk, viewed } from "../support/desk-tab.js";
import { tabTo } from "../support/keyboard.js";
import { holdToEveryPage, MARKUP, type PageTest } from "../support/page-test.js";

/** What a moderator does about one product that was registered twice. */
export function testMerging(test: () => PageTest): void {
  it("holds two packs side by side, says what a merge does, merges by keyboard, and undoes it with the mouse", async () => {
    const { app, record } = test();
    const origin = new URL(app.url).origin;
    const { slipway = "" } = record.packs;
    const known = (await app.inject({ url: `/v1/packs/${slipway}` })).json();
    const { id: _, status: __, ...facts } = known;
    const twin = {
      ...facts,
      name: "Slipways",
      massGrams: facts.massGrams + 40,
      connector: MARKUP,
      differsFrom: [slipway],
    };
    const { id } = (
      await app.inject({ method: "POST", url: "/v1/packs", payload: twin, headers: record.administrator })
    ).json();
    const mergedInto = async () => (await app.database.pack.findUniqueOrThrow({ where: { id } })).mergedIntoId;

    const tab = await openDesk(test(), "mona", "#duplicates");
    await viewed(tab, /^Duplicates/);
    await holdToEveryPage(tab, origin);
    await tabTo(tab, "[name=search]");
    await tab.page.keyboard.type("Slipways");
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForSelector(`a[href="#likeness/${id}"]`);
    await tabTo(tab, `a[href="#likeness/${id}"]`);
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /^Packs like .*Slipways/);
    await holdToEveryPage(tab, origin);
    await tabTo(tab, `a[href="#merge/${id}~${slipway}"]`);
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /one product/);
    await holdToEveryPage(tab, origin);
    const shown = await textOf(tab, "desk-view");
    expect(shown).toContain(MARKUP);
    expect(await tab.page.$("#desk-view img")).toBeNull();
    expect(shown).toMatch(/Mass \(differs\)/);
    expect(shown).toMatch(/accepted runs?\..* by [a-z]+, /s);
    expect(shown).toMatch(/become those of Bracknoor Slipway.*judged anew, since/s);
    await tabTo(tab, ".sheet form .actions button");
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /^Packs like .*Slipway$/);
    await said(tab, "desk-status", /^Merged: .*Slipways is .*Slipway now/);
    expect(await mergedInto()).toBe(slipway);

    // The address of the pack that was merged leads on, also within a plan.
    for (const path of [`/packs/${id}`, `/plan?pack=${id}&protocol=full-load`]) {
      const answer = await app.inject({ url: path, headers: { accept: "text/html" } });
      expect([answer.statusCode, answer.headers.location]).toEqual([302, path.replace(id, slipway)]);
    }
    await holdToEveryPage(tab, origin);
    await tab.page.click(".runs .actions button");
    await said(tab, "desk-status", /a pack of its own again/);
    await viewed(tab, /^Packs like .*Slipways/);
    expect(await mergedInto()).toBeNull();
    await app.database.pack.update({ where: { id }, data: { connector: null } });
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("claims the ticked runs of the queue at once, and releases them", async () => {
    const { app, record } = test();
    const tab = await openDesk(test(), "mona", "#queue");
    await viewed(tab, /^To decide/);
    await tabTo(tab, ".queue input[name=claimed]");
    await tab.page.keyboard.press("Space");
    await tab.page.click(`.queue input[value="${record.runs["run-30"]}"]`);
    expect(await tab.page.$eval(".actions button:not(.plain)", (one) => one.textContent)).toBe("Claim 2 runs");
    await tabTo(tab, ".actions button:not(.plain)", true);
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /^2 runs claimed/);
    expect(await app.database.reviewClaim.count({ where: { until: { gt: new Date() } } })).toBe(2);
    expect(await textOf(tab, "desk-view")).toMatch(/Claimed by you until/);
    await holdToEveryPage(tab, new URL(app.url).origin);
    await tab.page.click(".actions button.plain");
    await said(tab, "desk-status", /claim no run/);
    expect(await app.database.reviewClaim.count({ where: { until: { gt: new Date() } } })).toBe(0);
    expect(tab.faults).toEqual([]);
    await tab.close();
  });
}

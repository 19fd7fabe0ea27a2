import { expect, it } from "@jest/globals";
import { Client } from "pg";
import { newestProtocol, nextFullLoad } from "../../support/protocols.js";
import { said, textOf } from "../support/check-tab.js";
import { goTo, openDesk, viewed } from "../support/desk-tab.js";
import { tabTo } from "../support/keyboard.js";
import { holdToEveryPage, MARKUP, type PageTest, type Tab } from "../support/page-test.js";

/** Types in place of what a field holds. */
async function typeOver({ page }: Tab, text: string): Promise<void> {
  await page.keyboard.down("Control");
  await page.keyboard.press("a");
  await page.keyboard.up("Control");
  await page.keyboard.sendCharacter(text);
}

/** What an administrator does: accounts, policies, versions of protocols tried before they are active, re-evaluations. */
export function testAdministrating(test: () => PageTest): void {
  const origin = () => new URL(test().app.url).origin;

  it("finds an account, gives it a role, suspends it and lifts that, each with a reason", async () => {
    const { app } = test();
    const tab = await openDesk(test(), "ada", "#accounts");
    await viewed(tab, /^Accounts/);
    await holdToEveryPage(tab, origin());
    await tabTo(tab, "[name=search]");
    await tab.page.keyboard.type("hairp");
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForFunction("document.querySelectorAll('.runs h3').length === 1");
    await tabTo(tab, ".run summary");
    await tab.page.keyboard.press("Enter");
    await tabTo(tab, ".run select");
    await tab.page.keyboard.type("mod");
    await tab.page.keyboard.press("Enter");
    await tabTo(tab, ".run form button");
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForSelector(".run .faults:focus");
    expect(await tab.page.$eval(".run .fault:not([hidden])", (one) => one.textContent)).toMatch(/must|needed/);
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("422")]);
    await holdToEveryPage(tab, origin());
    await tab.page.click(".run .faults a");
    await tab.page.keyboard.type("Knows every bench.");
    await tabTo(tab, ".run form button");
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /^hairpin has the role moderator/);
    const hairpin = () => app.database.account.findFirstOrThrow({ where: { handle: "hairpin" } });
    expect((await hairpin()).role).toBe("moderator");

    await tab.page.click(".run details:nth-of-type(1) summary");
    await tab.page.select(".run select", "tester");
    await tab.page.type(".run details:nth-of-type(1) textarea", "Only for the season.");
    await tab.page.click(".run details:nth-of-type(1) button");
    await said(tab, "desk-status", /has the role tester/);
    await tab.page.click(".run details:nth-of-type(2) summary");
    expect(await tab.page.$eval(".run details:nth-of-type(2)", (one) => one.textContent)).toMatch(
      /leave the standings/,
    );
    await tab.page.type(".run details:nth-of-type(2) textarea", "Five packs that nobody sells.");
    await tab.page.click(".run details:nth-of-type(2) button");
    await said(tab, "desk-status", /is suspended/);
    expect((await hairpin()).suspendedAt).not.toBeNull();
    await tab.page.click(".run details:nth-of-type(2) summary");
    await tab.page.click(".run details:nth-of-type(2) button");
    await said(tab, "desk-status", /lifted/);
    expect(await hairpin()).toMatchObject({ role: "tester", suspendedAt: null });
    await tab.page.click(".run details:nth-of-type(3) summary");
    await tab.page.waitForFunction("/moderator vouches for it/.test(document.querySelector('.run').textContent)");
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("sets a policy with a reason, shows what it was before and why, and the service's own words where it cannot be", async () => {
    const { app } = test();
    const tab = await openDesk(test(), "ada", "#policies");
    await viewed(tab, /^Policies/);
    const standing = "[aria-label='What makes a standing established']";
    const openForm = async () => {
      await tabTo(tab, `${standing} details:nth-of-type(1) summary`);
      await tab.page.keyboard.press("Enter");
    };
    await openForm();
    await holdToEveryPage(tab, origin());
    const set = async (reference: string, reason: string) => {
      await tabTo(tab, `${standing} .field:nth-of-type(3) input`);
      await typeOver(tab, reference);
      await tabTo(tab, `${standing} textarea`);
      await typeOver(tab, reason);
      await tabTo(tab, `${standing} form > .actions button`);
      await tab.page.keyboard.press("Enter");
    };
    await set("1", MARKUP);
    await tab.page.waitForSelector(`${standing} .faults:focus`);
    expect(await tab.page.$eval(`${standing} .faults`, (one) => one.textContent)).toMatch(/must be from 2 to 3/);
    expect(
      await tab.page.$eval(`${standing} [aria-invalid]`, (one) => (one as unknown as { value: string }).value),
    ).toBe("1");
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("422")]);
    await set("3", MARKUP);
    await said(tab, "desk-status", /version 1 holds now/);
    expect(await app.database.standingPolicy.findFirstOrThrow()).toMatchObject({ testers: 3, referenceTesters: 3 });
    await openForm();
    await set("2", "As it was.");
    await said(tab, "desk-status", /version 2 holds now/);
    await tab.page.click(`${standing} details:nth-of-type(2) summary`);
    const history = await tab.page.$eval(`${standing} .history`, (one) => one.textContent);
    expect(history).toMatch(/Version 2, set by ada.*3 \u2192 2.*As it was\..*Version 1, set by ada/s);
    expect(history).toContain(MARKUP);
    expect(await tab.page.$("#desk-view img")).toBeNull();
    await holdToEveryPage(tab, origin());

    const acceptance = "[aria-label='Runs accepted without a moderator']";
    await tab.page.click(`${acceptance} details:nth-of-type(1) summary`);
    await tab.page.type(`${acceptance} textarea`, "To begin with.");
    await tab.page.click(`${acceptance} form > .actions button`);
    await said(tab, "desk-status", /version 1 holds now/);
    expect(await app.database.autoAcceptPolicy.findFirstOrThrow()).toMatchObject({ enabled: false, version: 1 });
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("tries the next version on every run before it is published, and a published one before it is active", async () => {
    const { app } = test();
    const tab = await openDesk(test(), "ada", "#protocols");
    await viewed(tab, /^Protocols/);
    const { version } = (await app.inject({ url: "/v1/protocols/full-load" })).json();
    await tabTo(tab, "#desk-view a[href='#protocol/full-load']");
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /^Full load/);
    await tabTo(tab, ".next-version summary");
    await tab.page.keyboard.press("Enter");
    const write = async (text: string) => {
      await tabTo(tab, ".next-version textarea");
      await typeOver(tab, text);
      await tabTo(tab, ".next-version form button");
      await tab.page.keyboard.press("Enter");
    };
    await write("{ not JSON");
    await tab.page.waitForSelector(".next-version .faults:focus");
    await write(JSON.stringify({ ...nextFullLoad(1000), version: version + 1 }));
    await tab.page.waitForFunction("/What it would change/.test(document.querySelector('.next-version').textContent)");
    const effects = await tab.page.$eval(".next-version", (one) => one.textContent ?? "");
    expect(effects).toMatch(/Runs whose verdict changes.*does not conform.*sampling-rate/s);
    expect(effects).toMatch(/Standings that change.*Regatta.*none/s);
    expect(await app.database.protocol.count({ where: { key: "full-load" } })).toBe(version);
    await holdToEveryPage(tab, origin());

    await goTo(tab, "protocols", /^Protocols/);
    await tab.page.click("#desk-view a[href='#protocol/two-pulse']");
    await viewed(tab, /two pulses$/);
    await tab.page.click(".next-version summary");
    await tab.page.click(".next-version form button");
    await tab.page.waitForSelector(".next-version .grave");
    await tab.page.click(".next-version .grave");
    const next = newestProtocol("two-pulse").version + 1;
    await said(tab, "desk-status", new RegExp(`Version ${next} is published`));
    await holdToEveryPage(tab, origin());
    const versions = () => tab.page.$$eval("ol.runs h3", (all) => all.map(({ textContent }) => textContent?.trim()));
    expect(await versions()).toEqual([`Version ${next} not active`, `Version ${next - 1} active`]);
    await goTo(tab, "protocols", /^Protocols/);
    expect(await tab.page.$eval("#desk-view ul.runs", (list) => list.textContent)).toContain(
      `Version ${next} is published; version ${next - 1} is active.`,
    );
    // What is active needs no making active, whatever a dry run of it says.
    await tab.page.click("#desk-view a[href='#protocol/two-pulse']");
    await viewed(tab, /two pulses$/);
    await tab.page.click("ol.runs li:last-of-type button");
    await viewed(tab, /^Dry run: Two pulses/);
    await tab.page.waitForFunction("/finished/.test(document.querySelector('#desk-view .tag').textContent)");
    expect(await tab.page.$("[aria-label='Make it active']")).toBeNull();
    await goTo(tab, "protocols", /^Protocols/);
    await tab.page.click("#desk-view a[href='#protocol/two-pulse']");
    await viewed(tab, /two pulses$/);
    await tab.page.click("ol.runs li:first-of-type button");
    await viewed(tab, /^Dry run: Two pulses/);
    await tab.page.waitForSelector("[aria-label='Make it active'] .grave");
    await holdToEveryPage(tab, origin());
    expect((await app.inject({ url: "/v1/protocols/two-pulse" })).json()).toMatchObject({ active: false });
    await tabTo(tab, ".grave");
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /^Re-evaluation: Two pulses/);
    await tab.page.waitForFunction("/finished/.test(document.querySelector('#desk-view .tag').textContent)");
    expect((await app.inject({ url: "/v1/protocols/two-pulse" })).json()).toMatchObject({
      version: next,
      active: true,
    });
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("shows how far a re-evaluation has come, and cancels it", async () => {
    const { app, record } = test();
    const { version } = newestProtocol("full-load");
    const tab = await openDesk(test(), "ada");
    const other = new Client({ connectionString: app.database.connectionString });
    await other.connect();
    try {
      const begun = await app.inject({
        method: "POST",
        url: "/v1/reevaluations",
        payload: { protocol: "full-load", protocolVersion: version, dryRun: true },
        headers: record.administrator,
      });
      expect(begun.statusCode).toBe(202);
      // Nothing more of it is stored before this lock is given back.
      await other.query("BEGIN; LOCK TABLE reevaluation_run IN SHARE MODE");
      await goTo(tab, "reevaluations", /^Re-evaluations/);
      await tab.page.waitForFunction(
        "/[0-9] of [1-9][0-9]* runs/.test(document.querySelector('.progress')?.textContent)",
      );
      await holdToEveryPage(tab, origin());
      await tabTo(tab, ".progress button");
      await tab.page.keyboard.press("Enter");
    } finally {
      await other.end();
    }
    await said(tab, "desk-status", /nothing has changed/);
    await viewed(tab, /^Re-evaluations/);
    expect(await tab.page.$eval(".runs .tag", (one) => one.textContent)).toBe("cancelled");
    expect(await tab.page.$(".progress")).toBeNull();
    await tab.page.click(".runs a");
    await viewed(tab, /^Dry run: Full load/);
    expect(await textOf(tab, "desk-view")).toMatch(/It was cancelled/);
    expect(tab.faults).toEqual([]);
    await tab.close();

    const moderator = await openDesk(test(), "mona", "#accounts");
    await viewed(moderator, /^Your runs/);
    expect(await textOf(moderator, "desk-places")).not.toMatch(/Accounts|Policies/);
    await moderator.close();
  });
}

import { expect, it } from "@jest/globals";
import { said, textOf } from "../support/check-tab.js";
import { goTo, openDesk, signInAt, viewed } from "../support/desk-tab.js";
import { tabTo } from "../support/keyboard.js";
import { holdToEveryPage, type PageTest } from "../support/page-test.js";

const MARKUP = '"><img src=x onerror=alert(1)>';

/** What a tester does about runs of their own. */
export function testOwnRuns(test: () => PageTest): void {
  it("shows a question with its words as text, takes the answer in place, and reads notices, with the keyboard alone", async () => {
    const { app, record } = test();
    const id = record.runs["run-30"] ?? "";
    const moderator = await app.signIn("mona", "moderator");
    const asked = await app.inject({
      method: "POST",
      url: `/v1/runs/${id}/reviews`,
      headers: moderator,
      payload: { decision: "request-info", rules: ["rest-time"], note: `How long did it rest? ${MARKUP}` },
    });
    expect(asked.statusCode).toBe(201);

    const tab = await openDesk(test(), "tidewatch");
    expect(await textOf(tab, "desk-view")).toContain(`How long did it rest? ${MARKUP}`);
    expect(await tab.page.$$eval("img", (images) => images.length)).toBe(0);
    expect(await textOf(tab, "desk-places")).toMatch(/Notices \(\d+ unread\)/);
    await holdToEveryPage(tab, new URL(app.url).origin);
    await tabTo(tab, ".asked textarea");
    await tab.page.keyboard.type("Two hours, at 21 degrees.");
    await tabTo(tab, ".asked button");
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /^Answered/);
    const { review } = await app.database.run.findUniqueOrThrow({ where: { id }, select: { review: true } });
    expect(review).toBe("pending");

    await tabTo(tab, "a[href='#notices']", true);
    await tab.page.keyboard.press("Enter");
    await viewed(tab, /^Notices/);
    await holdToEveryPage(tab, new URL(app.url).origin);
    await tabTo(tab, ".actions button");
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /All notices are marked as read/);
    expect(await textOf(tab, "desk-places")).toMatch(/Notices(?! \()/);
    await tab.page.click(".notices a[href^='#run/']");
    await viewed(tab, /Keel/);
    expect(await textOf(tab, "desk-view")).toMatch(
      /A moderator asked by mona[\s\S]*You answered by tidewatch[\s\S]*Two hours/,
    );
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("says how the own bench reads, what withdrawing means before it is done, and forgets everything with the session", async () => {
    const { app, record } = test();
    const tab = await openDesk(test(), "gravelnotes");
    await goTo(tab, "calibration", /^How your bench reads/);
    const { items } = (
      await app.inject({ url: "/v1/accounts/me/calibration", headers: await app.signIn("gravelnotes") })
    ).json<{ items: { packs: number; others: number }[] }>();
    expect(items.length).toBeGreaterThan(0);
    expect(await tab.page.$$eval(".bias", (drawn) => drawn.length)).toBe(items.length);
    expect(await textOf(tab, "desk-view")).toMatch(/reads [\d.]+ ± [\d.]+ % (high|low)/);
    await holdToEveryPage(tab, new URL(app.url).origin);

    await goTo(tab, "runs", /^Your runs/);
    const copy = `li:has(a[href="#run/${record.runs["run-43"]}"])`;
    await tab.page.click(`${copy} .withdrawal summary`);
    expect(await tab.page.$eval(`${copy} .withdrawal`, (one) => one.textContent)).toMatch(
      /cannot be taken back[\s\S]*stay in your own mean[\s\S]*unless a moderator accepts/,
    );
    await tab.page.click(`${copy} .withdrawal .plain`);
    expect(await tab.page.$(`${copy} .withdrawal[open]`)).toBeNull();
    await tab.page.click(`${copy} .withdrawal summary`);

    await app.database.session.deleteMany({ where: { account: { handle: "gravelnotes" } } });
    await tab.page.click(`${copy} .withdrawal .grave`);
    await said(tab, "desk-status", /session has ended/);
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("401")]);
    expect([await textOf(tab, "desk-view"), await textOf(tab, "who")]).toEqual(["", ""]);
    await signInAt(tab, "gravelnotes");
    await tab.page.click(`${copy} .withdrawal summary`);
    await tab.page.click(`${copy} .withdrawal .grave`);
    await said(tab, "desk-status", /^The run was withdrawn/);
    const id = record.runs["run-43"] ?? "";
    expect(await app.database.run.count({ where: { id, review: "withdrawn" } })).toBe(1);
    await tab.page.click("#sign-out");
    await said(tab, "desk-status", /^Signed out/);
    expect(await tab.page.evaluate("Object.values(localStorage).concat(Object.values(sessionStorage)).join()")).toBe(
      "",
    );
    expect(tab.faults).toEqual([]);
    await tab.close();
  });
}

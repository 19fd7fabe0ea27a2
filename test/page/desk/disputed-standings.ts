import { expect, it } from "@jest/globals";
import { StoredRuns } from "../../support/stored-runs.js";
import { said, textOf } from "../support/check-tab.js";
import { openDesk, viewed } from "../support/desk-tab.js";
import { tabTo } from "../support/keyboard.js";
import { holdToEveryPage, type PageTest } from "../support/page-test.js";

const DAYS_MS = 86_400_000;
const PACKS = ["Avocet", "Plover", "Dunlin"] as const;

/** What a moderator decides on results that do not count by themselves. */
export function testStandings(test: () => PageTest): void {
  it("sets results far from the others' aside by keyboard, with a reason", async () => {
    const { app, record } = test();
    const runs = new StoredRuns(app);
    for (const handle of ["rena", "rolf", "ruth", "reto"]) {
      for (const name of [...PACKS, "Tern"]) await runs.add(handle, name);
      await app.inject({
        method: "POST",
        url: `/v1/testers/${handle}/vouch`,
        payload: { note: "Known from the track." },
        headers: record.administrator,
      });
    }
    for (const name of PACKS) await runs.add("puck", name);
    await runs.settled();
    const establishedSince = new Date(Date.now() - 200 * DAYS_MS);
    await app.database.testerRecord.update({
      where: { testerId: await runs.tester("puck") },
      data: { establishedSince },
    });
    await runs.add("puck", "Tern", { power: 1.03 });
    await runs.settled();

    const tab = await openDesk(test(), "mona", "#standings");
    await viewed(tab, /^Disputed standings/);
    expect(await textOf(tab, "desk-view")).toMatch(/Tern.*Held: puck/s);
    await tabTo(tab, ".run summary");
    await tab.page.keyboard.press("Enter");
    await holdToEveryPage(tab, new URL(app.url).origin);
    await tabTo(tab, ".run form textarea");
    await tab.page.keyboard.type("Its shunt was never calibrated.");
    await tabTo(tab, ".run form .actions button");
    await tab.page.keyboard.press("Enter");
    await said(tab, "desk-status", /^Decided on the results of puck/);
    expect(await textOf(tab, "desk-view")).toMatch(/Nothing is disputed/);
    expect(tab.faults).toEqual([]);
    await tab.close();
  });
}

import { expect, it } from "@jest/globals";
import {
  choose,
  corpusLog,
  entered,
  isShown,
  openCheck,
  runOf,
  said,
  shown,
  textOf,
  writtenFiles,
} from "../support/check-tab.js";
import { holdToEveryPage, type PageTest, type Tab } from "../support/page-test.js";

const LOG = corpusLog("not-conforming", "cutoff-depth.csv");
const RUN = runOf("cutoff-depth");
const PASSWORD = "correct horse battery";

async function signIn({ page }: Tab, handle: string, password = PASSWORD): Promise<void> {
  for (const [name, text] of Object.entries({ handle, password })) {
    await page.click(`#sign-in [name=${name}]`, { count: 3 });
    await page.keyboard.type(text);
  }
  await page.keyboard.press("Enter");
}

/** Signing in, submitting, and what happens when that does not go on as it began. */
export function testSubmitting(test: () => PageTest): void {
  it("signs in, takes over what is chosen of one's own, submits the log once, and outlives the end of the session", async () => {
    const { app } = test();
    const headers = await app.signIn("dropper");
    const post = async (url: string, payload: object) => {
      const answer = await app.inject({ method: "POST", url, payload, headers });
      expect({ url, status: answer.statusCode }).toEqual({ url, status: 201 });
      return answer.json<{ id: string }>().id;
    };
    const tab = await openCheck(test());
    await choose(tab, LOG, ...(await writtenFiles({ "run.json": { ...RUN, specimen: "Yellow tape" } })));
    await shown(tab, "figures");
    const verdict = await textOf(tab, "result");

    await signIn(tab, "dropper", "wrong battery");
    await said(tab, "submission-status", /password/i);
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("401")]);
    await signIn(tab, "dropper");
    await said(tab, "unregistered", /register a specimen of the pack and your bench/);
    expect(await isShown(tab, "submit")).toBe(false);

    const packId = await post("/v1/packs", RUN.pack);
    const specimenId = await post("/v1/specimens", { packId, label: "Yellow tape", cycles: 3 });
    const benchId = await post("/v1/benches", { ...RUN.bench, label: "Cellar" });
    const headline = ["t [s]", "U [V]", "I [A]"];
    await post("/v1/column-maps", { label: "Cellar logger", header: headline, columns: { voltage: "U [V]" } });
    await tab.page.click("#look-again");
    await tab.page.waitForSelector("#submit:not([hidden])");
    // The run file names the specimen; nobody has named the bench.
    await tab.page.waitForFunction(`document.querySelector("[name=specimenId]").value === "${specimenId}"`);
    expect(await tab.page.$eval("[name=benchId]", (one) => (one as unknown as { value: string }).value)).toBe("");
    expect(await tab.page.$eval("#run-pack", (one) => (one as unknown as { disabled: boolean }).disabled)).toBe(true);
    // The service is still asked for the pack, and what is asked of it then moves the button.
    await tab.page.waitForSelector("#submit button:enabled");
    await shown(tab, "figures");
    await tab.page.click("#submit button");
    await said(tab, "submission-status", /Choose your pack and your bench/);
    await tab.page.select("[name=benchId]", benchId);
    await shown(tab, "figures");
    expect(await textOf(tab, "result")).toBe(verdict);

    await app.database.session.deleteMany({ where: { account: { handle: "dropper" } } });
    await tab.page.click("#submit button");
    await said(tab, "submission-status", /session has ended.*Sign in again/);
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("401")]);
    expect(await isShown(tab, "figures")).toBe(true);
    await signIn(tab, "dropper");
    await tab.page.waitForFunction(`document.querySelector("[name=benchId]").value === "${benchId}"`);
    await tab.page.waitForSelector("#submit button:enabled");
    await shown(tab, "figures");
    await tab.page.click("#submit button");
    await tab.page.waitForSelector("#submission-status a");
    expect(await textOf(tab, "submission-status")).toMatch(/^Stored.*It is not public before/);
    const address = String(await tab.page.$eval("#submission-status a", (link) => link.getAttribute("href")));
    await tab.page.click("#submit button");
    await tab.page.waitForFunction("!document.querySelector('#submit button').disabled");
    const runs = await app.database.run.findMany({ where: { tester: { handle: "dropper" } } });
    expect(runs.map(({ id }) => `/v1/runs/${id}`)).toEqual([address]);
    await holdToEveryPage(tab, new URL(app.url).origin);

    // The next log is another run: its specimen and bench are chosen anew, and the saved map of its header row is applied.
    const rows = Array.from({ length: 60 }, (_, i) => [i, i < 30 ? 16.7 : 15, i < 30 ? 0 : 60].join(","));
    await choose(tab, ...(await writtenFiles({ "next.csv": [headline.join(","), ...rows].join("\n") })));
    await said(tab, "columns", /saved column map Cellar logger was applied/);
    expect(await tab.page.$eval("[name=specimenId]", (one) => (one as unknown as { value: string }).value)).toBe("");
    expect(await entered(tab, "pack.series")).toBe("");
    await tab.page.click("#sign-out");
    await said(tab, "submission-status", /^Signed out/);
    await tab.page.waitForFunction("!document.querySelector('#sign-in button').disabled");
    expect(await app.database.session.count({ where: { account: { handle: "dropper" } } })).toBe(0);
    expect(await tab.page.evaluate("Object.values(localStorage).join()")).not.toMatch(/battery|Bearer|Cellar/);
    await tab.close();
  });

  it("signs in with the code of an identity provider, and asks for a handle where the service does", async () => {
    const tab = await openCheck(test());
    const asked: object[] = [];
    await tab.page.setRequestInterception(true);
    // The provider and its part of the service are tested with the API; here they answer as the contract says.
    tab.page.on("request", (request) => {
      const { pathname } = new URL(request.url());
      if (pathname !== "/v1/sign-ins") return void request.continue();
      const body = JSON.parse(request.postData() ?? "{}") as { handle?: string };
      asked.push(body);
      const [status, answer] = body.handle
        ? [401, { title: "That was it", code: "sign-in-failed" }]
        : [422, { detail: "Choose a handle.", code: "handle-required" }];
      return void request.respond({ status, contentType: "application/json", body: JSON.stringify(answer) });
    });
    await choose(tab, LOG);
    await shown(tab, "columns");
    await tab.page.click("#elsewhere summary");
    await tab.page.waitForSelector("#begin-elsewhere[href*=challenge]");
    const address = await tab.page.$eval("#begin-elsewhere", (link) => link.getAttribute("href"));
    await tab.page.type("#sign-in-code [name=code]", "the-code");
    await tab.page.keyboard.press("Enter");
    await said(tab, "submission-status", /Choose a handle/);
    await tab.page.type("#sign-in-code [name=newHandle]", "newcomer");
    await tab.page.keyboard.press("Enter");
    await said(tab, "submission-status", /That was it/);
    const { verifier } = asked[0] as { verifier: string };
    // RFC 7636, 4.2: code_challenge = BASE64URL-ENCODE(SHA256(ASCII(code_verifier))).
    const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(verifier));
    expect(address).toBe(`/v1/sign-ins/start?challenge=${Buffer.from(digest).toString("base64url")}`);
    expect(asked).toEqual([
      { code: "the-code", verifier },
      { code: "the-code", verifier, handle: "newcomer" },
    ]);
    await tab.close();
  });
}

import { readdirSync, readFileSync } from "node:fs";
import { mkdtemp, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "@jest/globals";
import type { ElementHandle } from "puppeteer-core";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { holdToEveryPage, openTab, type PageTest, type Tab } from "./support/page-test.js";

const CORPUS = join(projectRoot, "test/corpus");
/** About how many logs of the corpus; all of them by `PAGE_LOGS=1000 npm run test:page`. */
const COUNT = Number(process.env.PAGE_LOGS ?? 8);
const LOGS = readdirSync(join(CORPUS, "not-conforming"))
  .filter((name) => name.endsWith(".csv"))
  .map((name) => name.replace(/\.csv$/, ""))
  // Its bench is refused at its registration, before there is a log.
  .filter((name) => name !== "sense-known")
  .filter((_, i, all) => i % Math.ceil(all.length / COUNT) === 0);

/** A log's declaration as a run file has it. */
function runOf(name: string) {
  const { protocol, pack, bench, conditions } = JSON.parse(
    readFileSync(join(CORPUS, "not-conforming", `${name}.json`), "utf8"),
  );
  return {
    protocol: protocol.key,
    protocolVersion: protocol.version,
    ...conditions,
    pack: { maker: "Northfell", name: "Bench pack", ...pack },
    bench: { label: "bench", ...bench },
  };
}

async function choose({ page }: Tab, file: string): Promise<void> {
  const input = (await page.$("#log-file")) as ElementHandle<never>;
  await input.uploadFile(file);
}

const shown = ({ page }: Tab, id: string) => page.waitForSelector(`#${id}:not([hidden]) h2`);
const textOf = ({ page }: Tab, id: string) => page.$eval(`#${id}`, (found) => found.textContent);

async function runFile(name: string): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), "run-"));
  await writeFile(join(folder, "run.json"), JSON.stringify(runOf(name)));
  return join(folder, "run.json");
}

/** What the form of submissions says. */
const said = ({ page }: Tab, pattern: RegExp) =>
  page.waitForFunction(`${pattern}.test(document.getElementById("submission-status").textContent)`);

/** Asks the page's own worker about a log, as the page does; its last answer as JSON. */
const askWorker = ({ log, run }: { log: string; run: object }): string => `new Promise((resolve) => {
  const script = document.querySelector('script[src$="/check.js"]').src.replace("check.js", "log-worker.js");
  const worker = new Worker(script, { type: "module" });
  worker.onmessage = ({ data }) => {
    if (data.kind === "progress" || data.kind === "columns") return;
    worker.terminate();
    resolve(JSON.stringify(data));
  };
  const log = new Blob([${JSON.stringify(log)}]);
  worker.postMessage({ id: 1, log, logNumber: 1, columns: null, run: ${JSON.stringify(run)} });
})`;

/** A text of every member with all digits of its numbers; figures, which the service sorts, in the order of their texts. */
function inOrder(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(inOrder).sort().join()}]`;
  if (value === null || typeof value !== "object") return JSON.stringify(value);
  const members = Object.entries(value).map(([name, one]) => `${name}:${inOrder(one)}`);
  return `{${members.sort().join()}}`;
}

/** What a tester sees of a log before an account, and that it stays on the device. */
export function testCheck(test: () => PageTest): void {
  describe("a tester without an account", () => {
    it("is shown columns, trace, findings and figures of a log, and nothing is sent", async () => {
      const tab = await openTab(test());
      await tab.open("/check");
      await tab.page.waitForNetworkIdle();
      const before = tab.asked.length;
      await choose(tab, join(CORPUS, "not-conforming", "cutoff-depth.csv"));
      await shown(tab, "columns");
      await choose(tab, await runFile("cutoff-depth"));
      await shown(tab, "figures");
      expect(await textOf(tab, "result")).toMatch(/cutoff-depth: .*Set the low-voltage cut-out/);
      const marks = await tab.page.$$eval("#trace .mark-name", (names) => names.map((name) => name.textContent));
      expect(marks).toEqual(["onset", "10 s", "30 s", expect.stringMatching(/^cutoff \d/)]);
      expect(tab.asked.slice(before).filter((url) => !url.startsWith("data:"))).toEqual([]);
      await holdToEveryPage(tab, new URL(test().app.url).origin);
      await tab.close();
    });

    it("chooses by keyboard which of several discharges is the run", async () => {
      const tab = await openTab(test());
      await tab.open("/check");
      await choose(tab, join(CORPUS, "not-ok", "two-discharges.csv"));
      await shown(tab, "discharges");
      await tab.page.focus("#discharges input");
      await tab.page.keyboard.press("ArrowDown");
      await tab.page.waitForSelector("#trace .band.chosen");
      expect(await tab.page.$$eval("#discharges input", (all) => all.map((one) => one.checked))).toEqual([false, true]);
      expect(tab.faults).toEqual([]);
      await tab.close();
    });
  });

  it("names by keyboard which column is which, where a log leaves it open, and reads it by the headers again", async () => {
    const tab = await openTab(test());
    await tab.open("/check");
    await choose(tab, join(CORPUS, "not-ok", "two-voltages.csv"));
    await shown(tab, "refusal");
    await tab.page.focus("#refusal .options button");
    await tab.page.keyboard.press("Enter");
    await shown(tab, "trace");
    expect(await textOf(tab, "log-status")).toMatch(/^two-voltages\.csv: \d+ rows read on this device/);
    const chosen = () =>
      tab.page.$$eval("#columns tbody tr", (rows) =>
        rows.map((row) => [row.querySelector("th")?.textContent, row.querySelector("select")?.value]),
      );
    const voltages = (await chosen()).filter(([, channel]) => channel === "voltage");
    expect(voltages).toHaveLength(1);
    const [named] = voltages[0] ?? [];
    const other = (await tab.page.$$eval("#columns tbody th", (all) => all.map((one) => one.textContent ?? ""))).find(
      (header) => header !== named && /v/i.test(header),
    );
    await tab.page.select(`#columns select[aria-label="Read ${other} as"]`, "voltage");
    await tab.page.waitForFunction(`document.querySelector('[aria-label="Read ${named} as"]').value === ""`);
    expect((await chosen()).filter(([, channel]) => channel === "voltage")).toEqual([[other, "voltage"]]);
    await tab.page.click("#columns button");
    await shown(tab, "refusal");
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("says beside the field what is wrong with an entry, and takes it back when it is mended", async () => {
    const tab = await openTab(test());
    await tab.open("/check");
    await choose(tab, join(CORPUS, "not-conforming", "cutoff-depth.csv"));
    await choose(tab, await runFile("cutoff-depth"));
    await shown(tab, "figures");
    const cells = "#run [name='pack.series']";
    await tab.page.click(cells, { count: 3 });
    await tab.page.keyboard.type("400");
    await tab.page.waitForSelector(`${cells}[aria-invalid=true]`);
    expect(await textOf(tab, "run-pack-series-problem")).toMatch(/at most|less|between|cannot/);
    expect(await textOf(tab, "log-status")).toMatch(/no verdict until that is mended/);
    await tab.page.waitForFunction(
      "document.getElementById('result').hidden && document.getElementById('figures').hidden",
    );
    await tab.page.click(cells, { count: 3 });
    await tab.page.keyboard.press("Backspace");
    await tab.page.waitForFunction("/Cells in series/.test(document.getElementById('run-status').textContent)");
    expect(await tab.page.$("#result:not([hidden])")).toBeNull();
    await tab.page.type(cells, "4");
    await tab.page.waitForSelector(`${cells}[aria-invalid=false]`);
    await shown(tab, "figures");
    await tab.close();
  });

  it("signs in, takes over what is registered, and submits the log once", async () => {
    const headers = await test().app.signIn("dropper");
    const { pack, bench } = runOf("cutoff-depth");
    const register = async (url: string, payload: object) =>
      (await test().app.inject({ method: "POST", url, payload, headers })).json<{ id: string }>().id;
    const packId = await register("/v1/packs", pack);
    await register("/v1/specimens", { packId, label: "Yellow tape", cycles: 3 });
    await register("/v1/benches", { ...bench, label: "Cellar" });
    const tab = await openTab(test());
    await tab.open("/check");
    await choose(tab, join(CORPUS, "not-conforming", "cutoff-depth.csv"));
    await choose(tab, await runFile("cutoff-depth"));
    await shown(tab, "figures");
    const verdict = await textOf(tab, "result");
    await tab.page.type("#sign-in [name=handle]", "dropper");
    await tab.page.type("#sign-in [name=password]", "wrong battery");
    await tab.page.keyboard.press("Enter");
    await said(tab, /password/i);
    expect(tab.faults.splice(0)).toEqual([expect.stringContaining("401")]);
    await tab.page.click("#sign-in [name=password]", { count: 3 });
    await tab.page.keyboard.type("correct horse battery");
    await tab.page.keyboard.press("Enter");
    await tab.page.waitForSelector("#submit:not([hidden])");
    await said(tab, /^Signed in/);
    expect(await tab.page.evaluate("document.activeElement.name")).toBe("specimenId");
    await shown(tab, "figures");
    expect(await textOf(tab, "result")).toBe(verdict);
    await tab.page.click("#submit button");
    await tab.page.waitForSelector("#submission-status a");
    const address = String(await tab.page.$eval("#submission-status a", (link) => link.getAttribute("href")));
    await tab.page.click("#submit button");
    await tab.page.waitForFunction("!document.querySelector('#submit button').disabled");
    const { items } = (await test().app.inject({ url: "/v1/runs?mine=true", headers })).json<{
      items: { id: string }[];
    }>();
    expect(items.map(({ id }) => `/v1/runs/${id}`)).toEqual([address]);
    expect(await tab.page.evaluate("Object.values(localStorage).join()")).not.toMatch(/battery|Bearer/);
    await holdToEveryPage(tab, new URL(test().app.url).origin);
    await tab.close();
  });

  it("is told by its browser the same of logs as by the service, to the last digit", async () => {
    const tab = await openTab(test());
    await tab.open("/check");
    const differing: string[] = [];
    for (const name of LOGS) {
      const log = readFileSync(join(CORPUS, "not-conforming", `${name}.csv`), "utf8");
      const run = runOf(name);
      const body = new FormData();
      body.append("run", JSON.stringify(run));
      body.append("log", new Blob([log]), `${name}.csv`);
      const answer = await fetch(new URL("/v1/checks", test().app.url), { method: "POST", body });
      const service = (await answer.json()) as Record<string, unknown>;
      const here = (await tab.page.evaluate(askWorker({ log, run }))) as string;
      const { evaluation } = JSON.parse(here).evaluated;
      for (const key of ["figures", "trace", "adjustments"]) {
        const [own, told] = [evaluation[key], service[key]].map(inOrder);
        if (own !== told) differing.push(`${name}: ${key}`);
      }
    }
    expect(LOGS.length).toBeGreaterThan(4);
    expect(differing).toEqual([]);
    await tab.close();
  });
}

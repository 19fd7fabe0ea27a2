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
import { holdToEveryPage, type PageTest } from "../support/page-test.js";

const LOG = corpusLog("not-conforming", "cutoff-depth.csv");
const RUN = runOf("cutoff-depth");

/** What a tester sees of a log before an account, and that it stays on the device. */
export function testReadingLogs(test: () => PageTest): void {
  it("shows columns, trace, findings and figures of a log, and sends nothing", async () => {
    const tab = await openCheck(test());
    await tab.page.waitForNetworkIdle();
    const before = tab.asked.length;
    await choose(tab, LOG);
    await shown(tab, "columns");
    await choose(tab, ...(await writtenFiles({ "run.json": RUN })));
    await shown(tab, "figures");
    expect(await textOf(tab, "result")).toMatch(/cutoff-depth: .*Set the low-voltage cut-out/);
    const marks = await tab.page.$$eval("#trace .mark-name", (names) => names.map((name) => name.textContent));
    expect(marks).toEqual(["onset", "10 s", "30 s", expect.stringMatching(/^cutoff \d/)]);
    expect(tab.asked.slice(before).filter((url) => !url.startsWith("data:"))).toEqual([]);
    await holdToEveryPage(tab, new URL(test().app.url).origin);
    await tab.close();
  });

  it("gives the worker that reads logs no way to ask anybody (CSP Level 3, 6.1.2)", async () => {
    const tab = await openCheck(test());
    await tab.page.waitForNetworkIdle();
    const [worker] = tab.page.workers();
    const asked = await worker?.evaluate(async () => {
      const tries = [
        () => fetch("/"),
        () => fetch("https://elsewhere.invalid/"),
        async () => void new WebSocket("ws://127.0.0.1:1/"),
      ];
      return Promise.all(
        tries.map((one) =>
          one().then(
            () => "asked",
            () => "kept from it",
          ),
        ),
      );
    });
    expect(asked?.slice(0, 2)).toEqual(["kept from it", "kept from it"]);
    expect(tab.asked.filter((url) => /elsewhere|127\.0\.0\.1:1\//.test(url))).toEqual([]);
    await tab.close();
  });

  it("keeps what a run file says, wherever it was dropped and whatever the form shows of it", async () => {
    const tab = await openCheck(test());
    const bench = { ...RUN.bench, clockPercent: 0.05, sense: { point: "lead", gaugeAwg: 12, lengthMm: 150 } };
    const pack = { ...RUN.pack, connector: "bullets of 6 mm", leadGaugeAwg: 10 };
    const columns = { current: { column: 3, sign: "discharge-positive" } };
    await choose(tab, ...(await writtenFiles({ "run.json": { ...RUN, pack, bench, columns } })));
    await said(tab, "log-status", /Now choose its log/);
    await choose(tab, LOG);
    await shown(tab, "figures");
    expect(await textOf(tab, "run-kept")).toMatch(/pack\.connector "bullets of 6 mm".*pack\.leadGaugeAwg 10/);
    expect(await Promise.all(["bench.sense.gaugeAwg", "bench.clockPercent"].map((name) => entered(tab, name)))).toEqual(
      ["12", "0.05"],
    );
    expect(
      await tab.page.$eval("#columns [aria-label^='Sign']", (one) => (one as unknown as { value: string }).value),
    ).toBe("discharge-positive");
    expect(await textOf(tab, "result")).toMatch(/lead|sense/i);
    await tab.close();
  });

  it("asks how many cells are in series, shows a guess as one, and judges nothing before somebody says so", async () => {
    const tab = await openCheck(test());
    const { series: _, ...pack } = RUN.pack;
    await choose(tab, LOG, ...(await writtenFiles({ "run.json": { ...RUN, pack } })));
    await said(tab, "run-status", /Cells in series/);
    expect(await entered(tab, "pack.series")).toBe("");
    expect(await isShown(tab, "result")).toBe(false);
    expect(await textOf(tab, "series-hint")).toMatch(/A guess: .* full pack of 4 such cells/);
    await tab.page.focus("#series-hint button");
    await tab.page.keyboard.press("Enter");
    await shown(tab, "figures");
    expect(await entered(tab, "pack.series")).toBe("4");
    await tab.close();
  });

  it("lets nothing that was entered for one log enter the next unseen, also where the browser stores nothing", async () => {
    const tab = await openCheck(test());
    const [run = ""] = await writtenFiles({ "cutoff-depth.run.json": { ...RUN, discharge: 1 } });
    await choose(tab, LOG, run);
    await shown(tab, "figures");
    await choose(tab, corpusLog("not-conforming", "load-rise.csv"));
    await said(tab, "log-status", /load-rise.*no verdict yet/);
    const names = ["protocol", "ambientC", "pack.series", "pack.chemistry", "bench.current.percent"];
    expect(await Promise.all(names.map((name) => entered(tab, name)))).toEqual(["", "", "", "", ""]);
    await tab.page.locator("#entered-before button ::-p-text(The same pack)").click();
    await tab.page.waitForFunction(`document.getElementById("run-pack-series").value === "4"`);
    expect(await entered(tab, "bench.current.percent")).toBe("");
    await tab.page.evaluateOnNewDocument(() => {
      Object.defineProperty(globalThis, "localStorage", {
        get() {
          throw new DOMException("blocked", "SecurityError");
        },
      });
    });
    await tab.page.reload();
    expect(await isShown(tab, "entered-before")).toBe(false);
    await choose(tab, LOG, run);
    await shown(tab, "figures");
    expect(tab.faults).toEqual([]);
    await tab.close();
  });

  it("says beside the field what is wrong with an entry, and takes it back when it is mended", async () => {
    const tab = await openCheck(test());
    await choose(
      tab,
      LOG,
      ...(await writtenFiles({ "run.json": { ...RUN, pack: { ...RUN.pack, chemistry: "nimh" } } })),
    );
    await tab.page.waitForSelector("#run [name='pack.chemistry'][aria-invalid=true]");
    await tab.page.select("#run [name='pack.chemistry']", "lipo");
    await shown(tab, "figures");
    const cells = "#run [name='pack.series']";
    await tab.page.click(cells, { count: 3 });
    await tab.page.keyboard.type("400");
    await tab.page.waitForSelector(`${cells}[aria-invalid=true]`);
    expect(await textOf(tab, "run-pack-series-problem")).toMatch(/at most|less|between|cannot/);
    expect(await textOf(tab, "log-status")).toMatch(/no verdict until that is mended/);
    expect([await isShown(tab, "result"), await isShown(tab, "figures")]).toEqual([false, false]);
    await tab.page.click(cells, { count: 3 });
    await tab.page.keyboard.press("Backspace");
    await said(tab, "run-status", /Cells in series/);
    expect(await isShown(tab, "result")).toBe(false);
    await tab.page.type(cells, "4");
    await tab.page.waitForSelector(`${cells}[aria-invalid=false]`);
    await shown(tab, "figures");
    await tab.close();
  });

  it("judges by the version that is named, and by no other where the service has none of that number", async () => {
    const tab = await openCheck(test());
    await choose(tab, LOG, ...(await writtenFiles({ "run.json": { ...RUN, protocolVersion: 7 } })));
    await said(tab, "run-status", /no version 7 of full-load; its newest is \d/);
    expect(await isShown(tab, "result")).toBe(false);
    await tab.page.select("#run [name=protocolVersion]", "1");
    await shown(tab, "figures");
    expect(await textOf(tab, "result")).toMatch(/full-load 1:/);
    expect(tab.faults).toEqual([expect.stringContaining("404")]);
    await tab.close();
  });

  it("says when a file cannot be read any more, and when the worker ended", async () => {
    const tab = await openCheck(test());
    const [log = ""] = await writtenFiles({ "log.csv": "t [s],U [V],I [A]\n0,16,0\n" });
    await choose(tab, log);
    await said(tab, "log-status", /log\.csv/);
    const [worker] = tab.page.workers();
    await worker?.evaluate(
      () =>
        void setTimeout(() => {
          throw new Error("out of memory, for a test");
        }),
    );
    await said(tab, "log-status", /failed on the log, which is its own mistake .*out of memory, for a test/);
    await choose(tab, LOG);
    await shown(tab, "columns");
    await tab.close();
  });
}

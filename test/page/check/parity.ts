import { readdirSync, readFileSync } from "node:fs";
import { expect, it } from "@jest/globals";
import { nextFullLoad } from "../../support/protocols.js";
import { choose, corpusLog, openCheck, runOf, said, shown, textOf, writtenFiles } from "../support/check-tab.js";
import type { PageTest } from "../support/page-test.js";

/** How many logs that do not conform; all of them by `PAGE_LOGS=1000 npm run test:page`. */
const COUNT = Number(process.env.PAGE_LOGS ?? 8);
const ALL = readdirSync(corpusLog("not-conforming"))
  .filter((name) => name.endsWith(".csv"))
  .map((name) => name.replace(/\.csv$/, ""))
  // Its bench is refused at its registration, before there is a log.
  .filter((name) => name !== "sense-known");
const some = Math.min(COUNT, ALL.length);
const CHOSEN = Array.from({ length: some }, (_, i) => ALL[Math.floor((i * ALL.length) / some)] as string);

interface Case {
  readonly file: string;
  readonly run: object;
}

const ORDINARY = runOf("cutoff-depth");
const CASES: readonly Case[] = [
  ...CHOSEN.map((name) => ({ file: corpusLog("not-conforming", `${name}.csv`), run: runOf(name) })),
  // Packed, in a workbook, scaled, with dates; and refused for its bytes, its columns and its several discharges.
  ...[
    "gzip.csv.gz",
    "one-table.zip",
    "workbook-with-dates.xlsx",
    "scale-in-header.csv",
    "dates-slashed-day-first.csv",
  ].map((name) => ({ file: corpusLog("ok", name), run: ORDINARY })),
  ...["cut-short.csv.gz", "damaged.csv.gz", "two-voltages.csv", "two-discharges.csv"].map((name) => ({
    file: corpusLog("not-ok", name),
    run: ORDINARY,
  })),
];

/** Starts a worker of the page's own script, and what asks it about a log as the page does; its last answer as JSON. */
const START = `
  const script = document.querySelector('script[src$="/check.js"]').src.replace("check.js", "log-worker.js");
  const worker = new Worker(script, { type: "module" });
  const documents = JSON.parse(document.getElementById("run").dataset.protocols);
  let asked = 0;
  globalThis.askWorker = (base64, run) => new Promise((resolve) => {
    const id = ++asked;
    worker.onmessage = ({ data }) => {
      if (data.id === id && data.kind !== "progress" && data.kind !== "columns") resolve(JSON.stringify(data));
    };
    const protocol = documents.find(({ key, version }) => key === run.protocol && version === run.protocolVersion);
    const log = new Blob([Uint8Array.from(atob(base64), (one) => one.charCodeAt(0))]);
    worker.postMessage({ id, log, logNumber: id, columns: null, savedMaps: [], run, protocol });
  });`;
const ask = (log: Buffer, run: object): string =>
  `globalThis.askWorker("${log.toString("base64")}", ${JSON.stringify(run)})`;

/** What the service says of a log that it is asked to check, by the names that the worker has for it. */
async function serviceSays(url: string, log: Uint8Array<ArrayBuffer>, run: object): Promise<Record<string, unknown>> {
  const body = new FormData();
  body.append("run", JSON.stringify(run));
  body.append("log", new Blob([log]), "log");
  const answer = await fetch(new URL("/v1/checks", url), { method: "POST", body });
  const said = (await answer.json()) as Record<string, unknown>;
  if (answer.ok) {
    const { figures, trace, adjustments, conformance, log, protocol, computationVersion } = said;
    const { columns, rows } = log as Record<string, unknown>;
    return { figures, trace, adjustments, conformance, columns, rows, protocol, computationVersion };
  }
  const { code, detail, errors = [], candidates = null } = said;
  return { code, detail, errors, candidates };
}

function pageSays(answer: string): Record<string, unknown> {
  const { evaluated, refusal } = JSON.parse(answer);
  if (refusal) {
    const { code, message, places, proposal } = refusal;
    return { code, detail: message, errors: places, candidates: proposal?.candidates ?? null };
  }
  const { figures, trace, adjustments, verdict, findings, log, protocol, computationVersion } = evaluated.evaluation;
  const conformance = { verdict, findings };
  const { columns, rows } = log;
  return { figures, trace, adjustments, conformance, columns, rows, protocol, computationVersion };
}

/** A text of every member with all digits of its numbers; figures, which the service sorts, in the order of their texts. */
function inOrder(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(inOrder).sort().join()}]`;
  if (value === null || typeof value !== "object") return JSON.stringify(value);
  const members = Object.entries(value).filter(([, one]) => one !== undefined);
  return `{${members
    .map(([name, one]) => `${name}:${inOrder(one)}`)
    .sort()
    .join()}}`;
}

export function testParity(test: () => PageTest): void {
  it("says the same of logs in the browser as the service does: figures to the last digit, findings, refusals", async () => {
    const tab = await openCheck(test());
    await tab.page.evaluate(START);
    const differing: string[] = [];
    const kinds = new Set<string>();
    for (const { file, run } of CASES) {
      const log = readFileSync(file);
      const service = await serviceSays(test().app.url, new Uint8Array(log), run);
      const here = pageSays(String(await tab.page.evaluate(ask(log, run))));
      kinds.add("code" in here ? String(here.code) : "evaluated");
      for (const key of Object.keys(service)) {
        if (inOrder(here[key]) !== inOrder(service[key]))
          differing.push(
            `${file}: ${key} ${inOrder(here[key])?.slice(0, 300)} | ${inOrder(service[key]).slice(0, 300)}`,
          );
      }
    }
    expect(differing).toEqual([]);
    expect([...kinds].sort()).toEqual(["evaluated", "log-column-ambiguous", "log-damaged", "log-several-discharges"]);
    await tab.close();
  });

  it("judges by a version that an administrator published, and by an older one where that is chosen", async () => {
    const headers = await test().app.signIn("paula", "administrator");
    const next = nextFullLoad(1000);
    const url = "/v1/protocols/full-load/versions";
    const published = await test().app.inject({ method: "POST", url, payload: next, headers });
    expect(published.statusCode).toBe(201);
    const { protocolVersion: _, ...run } = ORDINARY;
    const tab = await openCheck(test());
    await choose(tab, corpusLog("not-conforming", "cutoff-depth.csv"), ...(await writtenFiles({ "run.json": run })));
    await shown(tab, "figures");
    expect(await textOf(tab, "result")).toMatch(new RegExp(`full-load ${next.version}: .*sampling-rate: .*1000 Hz`));
    await tab.page.select("#run [name=protocolVersion]", String(next.version - 1));
    await said(tab, "result", new RegExp(`full-load ${next.version - 1}: `));
    expect(await textOf(tab, "result")).not.toMatch(/1000 Hz/);
    expect(tab.faults).toEqual([]);
    await tab.close();
  });
}

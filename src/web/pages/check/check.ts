import { CAUTION } from "../../../platform/http/caution.js";
import { html } from "../../html/html.js";
import type { ShowPage } from "../../page.js";
import { runForm } from "./run-form.js";
import { submissionForm } from "./submission-form.js";

const MAX_PROTOCOLS = 100;

/** A log is dropped, read and judged in the browser; nothing is sent before its tester submits it. */
export const showCheck: ShowPage = async ({ api }) => {
  const { items } = await api.get("/v1/protocols", { query: { first: MAX_PROTOCOLS } });
  return {
    title: "Check a log",
    scripts: ["page.js", "check.js"],
    body: html`<h1>Check a log</h1>
<p>See how a log's columns are read, what it measured and which rules it meets. This device does all of it: <strong>nothing is sent
until you sign in and submit</strong>, and a check needs no account.</p>
<aside class="caution" aria-label="Caution"><p><strong>Caution.</strong> ${CAUTION}</p></aside>
<noscript><p class="hint">Reading a log on this device needs JavaScript. Without it, <code>npx packledger check</code> does the same.</p></noscript>
<section class="drop" id="drop" aria-label="The log">
<label for="log-file">Drop a log anywhere on this page, or choose its file</label>
<input id="log-file" type="file" multiple aria-describedby="log-kinds">
<p class="small" id="log-kinds">Delimited text, JSON or a spreadsheet (.xlsx), packed with gzip or ZIP or not. A run file (run.json, or NAME.run.json of
NAME.csv) fills in the form below; choose it with its log, before it or after it. Of several logs one is read at a time.</p>
<p id="log-status" role="status"></p>
<progress id="log-progress" aria-label="Reading the log" hidden></progress>
</section>
<section id="logs" aria-labelledby="logs-title" hidden></section>
<section class="refusal" id="refusal" aria-labelledby="refusal-title" hidden></section>
<section id="discharges" aria-labelledby="discharges-title" hidden></section>
<section id="result" aria-labelledby="result-title" hidden></section>
<section id="trace" aria-labelledby="trace-title" hidden></section>
<section id="columns" aria-labelledby="columns-title" hidden></section>
${runForm(items)}
<section id="figures" aria-labelledby="figures-title" hidden></section>
${submissionForm()}`,
  };
};

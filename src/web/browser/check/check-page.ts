import type { ColumnMap, SavedColumnMap } from "../../../core/model.js";
import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { byId, show } from "../elements.js";
import type { LogAnswer, ReadRows } from "../log/messages.js";
import { columnSection } from "./column-section.js";
import { type DeclaredRun, type RunFile, runFileOf } from "./declared-run.js";
import { showDischarges } from "./discharge-choice.js";
import { type Dropped, onFiles, runFor } from "./dropped.js";
import { keepEntered } from "./entered-before.js";
import { showFigures } from "./figures.js";
import { showLogs } from "./log-choice.js";
import { LogWorkerClient } from "./log-worker-client.js";
import { offerDrafts } from "./offer-drafts.js";
import { offerEntered } from "./offer-entered.js";
import { Protocols } from "./protocols.js";
import { showRefusal } from "./refusal.js";
import { RunForm } from "./run-form.js";
import { showSeriesHint } from "./series-hint.js";
import { Submission, type Upload } from "./submission.js";
import { showLog, showRun } from "./traces.js";
import { showVerdict } from "./verdict.js";

/** Typing is left to end before the log is evaluated anew, ms. */
const PAUSE_MS = 250;
const SHOWN_OF_A_LOG = ["refusal", "columns", "discharges", "result", "trace", "figures"];

/** One log at a time: what is chosen of it, and what the worker said of it last. */
export class CheckPage {
  private readonly documents = JSON.parse(byId("run").dataset.protocols ?? "[]") as ProtocolDocument[];
  private readonly protocols = new Protocols(this.documents, () => this.ask());
  private readonly worker = new LogWorkerClient(
    (answer) => this.hear(answer),
    (message) => this.fail(message),
  );
  private readonly form = new RunForm(
    (key) => this.protocols.newestVersion(key),
    () => this.askSoon(),
  );
  private readonly submission = new Submission(
    () => this.uploaded(),
    (facts) => {
      this.form.fill(facts);
      this.ask();
    },
    (maps) => {
      this.savedMaps = maps;
      this.ask();
    },
  );
  private log: File | null = null;
  private logNumber = 0;
  private question = 0;
  private state: "pending" | "unreadable" | "undescribed" | "judged" | "failed" = "pending";
  private columns: ColumnMap | null = null;
  private savedMaps: readonly SavedColumnMap[] = [];
  private discharge: unknown = null;
  private rows: ReadRows | null = null;
  private pause: ReturnType<typeof setTimeout> | undefined;

  constructor() {
    onFiles((dropped) => this.take(dropped));
    this.offer();
  }

  private take({ logs, runs, faults }: Dropped): void {
    const [log] = logs;
    if (log) this.open(log, logs, runs);
    else if (runs.length === 1 && runs[0]) this.takeRunFile(runFileOf(runs[0].run));
    const notes = [
      ...faults,
      ...(runs.length > 1 && (!log || !runFor(log.name, runs))
        ? ["Several run files, and none is named after the log (NAME.run.json of NAME.csv): none was taken."]
        : []),
    ];
    if (notes.length > 0) this.say(notes.join(" "));
    else if (!this.log && runs.length > 0) this.say("The run file fills in the form. Now choose its log.");
  }

  /** What was noted or entered earlier on this device. */
  private offer(): void {
    offerDrafts((run) => this.takeRunFile(runFileOf(run)));
    offerEntered((run) => this.fill(run));
  }

  /** What was entered before there was a log is of the first one; a further log begins with an empty form. */
  private open(log: File, logs: readonly File[], runs: Dropped["runs"]): void {
    const isFurther = this.log !== null;
    const run = runFor(log.name, runs);
    this.log = log;
    this.logNumber++;
    this.rows = null;
    for (const id of SHOWN_OF_A_LOG) show(byId(id));
    if (isFurther) {
      [this.columns, this.discharge] = [null, null];
      this.form.startAnew();
      this.offer();
    }
    this.submission.startAnew(isFurther);
    showLogs(logs, log, (other) => this.open(other, logs, runs));
    if (run) this.takeRunFile(runFileOf(run));
    else this.ask();
  }

  /** Columns and discharge that it does not name stay as they were chosen. */
  private takeRunFile({ run, columns, discharge, ...rest }: RunFile): void {
    this.columns = columns ?? this.columns;
    this.discharge = discharge ?? this.discharge;
    this.submission.suggest(rest);
    this.fill(run);
  }

  private fill(run: DeclaredRun): void {
    this.form.fill(this.submission.withoutRegistered(run));
    this.ask();
  }

  /** What is declared, under the version by which it is judged; null while something that is needed is missing. */
  private declared(): { readonly run: DeclaredRun; readonly protocol: ProtocolDocument } | null {
    const run = this.form.run();
    if (!run) return null;
    const { protocol, protocolVersion = null } = run as { protocol: string; protocolVersion?: number | null };
    const found = this.protocols.find(protocol, protocolVersion);
    if (found === null || "problem" in found) return null;
    const { version } = found.document;
    const discharge = this.discharge === null ? {} : { discharge: this.discharge };
    return { run: { ...run, protocolVersion: version, ...discharge }, protocol: found.document };
  }

  private uploaded(): Upload | string {
    const declared = this.declared();
    if (!this.log) return "Choose a log first.";
    if (!declared) return `Fill in the form of the run first: ${this.wanting()}`;
    if (this.state === "pending") return "The log is being judged. Wait for its verdict, then submit.";
    if (this.state === "unreadable") return "The log cannot be read yet. Settle that first: see above.";
    if (this.state === "undescribed") return "The run is described wrongly. Mend that first: see above.";
    return { file: this.log, run: { ...declared.run, ...(this.columns ? { columns: this.columns } : {}) } };
  }

  private askSoon(): void {
    clearTimeout(this.pause);
    this.pause = setTimeout(() => this.ask(), PAUSE_MS);
  }

  private ask(): void {
    showSeriesHint(this.form, this.rows?.highestVolts ?? null, this.documents[0]);
    if (!this.log) return;
    const { log, logNumber, columns, savedMaps } = this;
    const declared = this.declared();
    if (declared) keepEntered(this.submission.enteredHere(declared.run));
    this.state = "pending";
    this.rows = null;
    for (const id of ["result", "figures"]) byId(id).setAttribute("aria-busy", "true");
    this.say(`${log.name} is read on this device\u2026`);
    const { run = null, protocol = null } = declared ?? {};
    this.worker.ask({ id: ++this.question, log, logNumber, columns, savedMaps, run, protocol });
  }

  private hear(answer: LogAnswer): void {
    if (answer.id !== this.question) return;
    const name = this.log?.name ?? "";
    const progress = byId<HTMLProgressElement>("log-progress");
    progress.hidden = answer.kind !== "progress";
    if (answer.kind === "progress") {
      [progress.max, progress.value] = [answer.total, answer.done];
    } else if (answer.kind === "columns") {
      this.showColumns(answer);
    } else if (answer.kind === "evaluated") {
      this.state = "judged";
      const { evaluated, tookMs } = answer;
      this.form.showErrors([]);
      showVerdict(evaluated);
      showRun(evaluated);
      showFigures(evaluated.figures);
      this.say(`${name}: ${evaluated.evaluation.log.rows} rows evaluated on this device in ${Math.round(tookMs)} ms.`);
    } else if (answer.kind === "undescribed") {
      this.takeBack("undescribed");
      this.form.showErrors(answer.errors);
      this.say(`${name}: the run is described wrongly, see below; there is no verdict until that is mended.`);
    } else if (answer.kind === "refused") {
      // What was read stays in sight where only the run in it is not settled.
      this.takeBack("unreadable", this.rows ? [] : ["trace", "discharges"]);
      this.say(`${name} cannot be read yet: see below.`);
      showRefusal(answer.refusal, (map) => this.map(map));
    } else if (answer.kind === "unavailable") {
      this.takeBack("unreadable", SHOWN_OF_A_LOG);
      this.say(
        `The browser cannot read ${name} any more: it was changed, moved or removed. Choose it again. (${answer.message})`,
      );
    } else this.fail(answer.message);
  }

  /** A fault of this page. The service may still be able to judge the log. */
  private fail(message: string): void {
    this.takeBack("failed", ["trace", "discharges"]);
    byId("log-progress").hidden = true;
    this.say(`This page failed on the log, which is its own mistake and not the log's: ${message}`);
  }

  private showColumns({ columns, rows }: Extract<LogAnswer, { kind: "columns" }>): void {
    this.rows = rows;
    show(byId("refusal"));
    const saved = { maps: this.savedMaps, save: this.submission.saveMap };
    columnSection(columns, saved, (map) => this.map(map));
    if (!rows) return;
    showSeriesHint(this.form, rows.highestVolts, this.documents[0]);
    showLog(rows, this.showChoice(rows));
    if (this.declared()) return;
    this.takeBack("undescribed");
    this.form.showErrors([]);
    this.form.say(this.wanting());
    this.say(
      `${this.log?.name}: ${rows.rows} rows read on this device. There is no verdict yet: see the form of the run.`,
    );
  }

  /** What keeps the run from being judged, before the worker is asked. */
  private wanting(): string {
    const missing = this.form.missing();
    if (missing.length > 0) return `For a verdict, fill in: ${missing.join("; ")}.`;
    const { protocol, protocolVersion = null } = this.form.draft() as { protocol: string; protocolVersion?: number };
    const found = this.protocols.find(protocol, protocolVersion);
    if (found === null) return `Version ${protocolVersion} of the protocol is being loaded from the service.`;
    return "problem" in found ? found.problem : "";
  }

  private showChoice({ discharges }: ReadRows) {
    return showDischarges(discharges, typeof this.discharge === "number" ? this.discharge : null, (discharge) => {
      this.discharge = discharge;
      this.ask();
    });
  }

  /** A verdict of what is no longer entered would mislead. */
  private takeBack(state: CheckPage["state"], others: readonly string[] = []): void {
    this.state = state;
    for (const id of ["result", "figures", ...others]) show(byId(id));
  }

  private map(columns: ColumnMap | null): void {
    this.columns = columns;
    this.ask();
  }

  private say(text: string): void {
    byId("log-status").textContent = text;
  }
}

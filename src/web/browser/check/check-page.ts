import type { ColumnMap } from "../../../core/model.js";
import { byId, show } from "../elements.js";
import type { EvaluatedLog, LogAnswer, LogQuestion, ReadRows } from "../log/messages.js";
import { columnSection } from "./column-section.js";
import { showDischarges } from "./discharge-choice.js";
import { onFiles } from "./dropped.js";
import { showFigures } from "./figures.js";
import { showRefusal } from "./refusal.js";
import { type DeclaredRun, RunForm } from "./run-form.js";
import { Submission, type Upload } from "./submission.js";
import { showLog, showRun } from "./traces.js";
import { showVerdict } from "./verdict.js";

/** Typing is left to end before the log is evaluated anew, ms. */
const PAUSE_MS = 250;
/** Voltage of a full cell, V, of lithium iron phosphate and of the others: common practice, no published source. */
const FULL_CELL_VOLTS = { lifepo4: 3.6, others: 4.2 } as const;

/** One log at a time: what is chosen of it, and what the worker said of it last. */
export class CheckPage {
  private readonly worker = new Worker(new URL("./log-worker.js", import.meta.url), { type: "module" });
  private readonly form = new RunForm(() => this.askSoon());
  private readonly submission = new Submission(
    () => this.uploaded(),
    (facts) => {
      this.form.fill(facts);
      this.ask();
    },
  );
  private file: File | null = null;
  private logNumber = 0;
  private suggestedFor = 0;
  private question = 0;
  private columns: ColumnMap | null = null;
  private discharge: number | null = null;
  private rows: ReadRows | null = null;
  private pause: ReturnType<typeof setTimeout> | undefined;

  constructor() {
    this.worker.addEventListener("message", ({ data }: MessageEvent<LogAnswer>) => this.hear(data));
    onFiles((logs, runs) => this.take(logs, runs));
  }

  private take(logs: readonly File[], runs: readonly DeclaredRun[]): void {
    const [run] = runs;
    if (run) this.form.fill(run);
    const [log] = logs;
    if (log) {
      this.file = log;
      this.logNumber++;
      this.columns = (run?.columns as ColumnMap | undefined) ?? null;
      this.discharge = (run?.discharge as number | undefined) ?? null;
      this.rows = null;
      for (const id of ["refusal", "columns", "discharges", "result", "trace", "figures"]) show(byId(id));
      this.submission.startAnew();
    }
    if (this.file) this.ask();
    else this.say("The run file fills in the form. Now choose its log.");
    if (logs.length > 1) this.say(`Several files: ${log?.name} is read. Drop the others one at a time.`);
  }

  private declared(): DeclaredRun | null {
    const run = this.form.run();
    return run && { ...run, ...(this.discharge === null ? {} : { discharge: this.discharge }) };
  }

  private uploaded(): Upload | null {
    const run = this.declared();
    return this.file && run && { file: this.file, run: { ...run, ...(this.columns ? { columns: this.columns } : {}) } };
  }

  private askSoon(): void {
    clearTimeout(this.pause);
    this.pause = setTimeout(() => this.ask(), PAUSE_MS);
  }

  private ask(): void {
    if (!this.file) return;
    const { file: log, logNumber, columns } = this;
    const question: LogQuestion = { id: ++this.question, log, logNumber, columns, run: this.declared() };
    this.worker.postMessage(question);
  }

  private hear(answer: LogAnswer): void {
    if (answer.id !== this.question) return;
    const progress = byId<HTMLProgressElement>("log-progress");
    progress.hidden = answer.kind !== "progress";
    if (answer.kind === "progress") {
      progress.max = answer.total;
      progress.value = answer.done;
    } else if (answer.kind === "columns") {
      this.showColumns(answer);
    } else if (answer.kind === "evaluated") {
      this.showEvaluated(answer.evaluated, answer.tookMs);
    } else if (answer.kind === "undescribed") {
      this.form.showErrors(answer.errors);
      this.takeBack();
      this.say(
        `${this.file?.name}: the run is described wrongly, see below; there is no verdict until that is mended.`,
      );
    } else if (answer.kind === "refused") {
      this.takeBack();
      this.say(`${this.file?.name} cannot be read yet: see below.`);
      showRefusal(answer.refusal, (map) => this.map(map));
    } else {
      this.say(`This page failed on the log, which is its own mistake and not the log's: ${answer.message}`);
    }
  }

  private showColumns({ columns, rows }: Extract<LogAnswer, { kind: "columns" }>): void {
    this.rows = rows;
    show(byId("refusal"));
    columnSection(columns, (map) => this.map(map), this.columns !== null && (() => this.map(null)));
    if (!rows) return;
    if (this.suggestedFor !== this.logNumber) this.suggestCells(rows);
    showLog(rows, this.showChoice());
    const missing = this.form.missing();
    if (missing.length > 0) this.takeBack();
    byId("run-status").textContent = missing.length === 0 ? "" : `For a verdict, fill in: ${missing.join("; ")}.`;
    this.say(`${this.file?.name}: ${rows.rows} rows read on this device.`);
  }

  /** Once for a log: who empties the field wants to type. */
  private suggestCells({ highestVolts }: ReadRows): void {
    this.suggestedFor = this.logNumber;
    if (highestVolts === null) return;
    if (this.form.suggestSeries(Math.max(1, Math.round(highestVolts / this.fullCell())))) this.ask();
  }

  private fullCell(): number {
    const chosen = (byId<HTMLFormElement>("run").elements.namedItem("pack.chemistry") as HTMLSelectElement).value;
    return chosen === "lifepo4" ? FULL_CELL_VOLTS.lifepo4 : FULL_CELL_VOLTS.others;
  }

  private showChoice() {
    return showDischarges(this.rows?.discharges ?? [], this.discharge, (discharge) => {
      this.discharge = discharge;
      this.ask();
    });
  }

  private showEvaluated(evaluated: EvaluatedLog, tookMs: number): void {
    this.form.showErrors([]);
    showVerdict(evaluated);
    showRun(evaluated);
    showFigures(evaluated.figures);
    this.say(
      `${this.file?.name}: ${evaluated.evaluation.log.rows} rows evaluated on this device in ${Math.round(tookMs)} ms.`,
    );
  }

  /** A verdict of what is no longer entered would mislead. */
  private takeBack(): void {
    for (const id of ["result", "figures"]) show(byId(id));
  }

  private map(columns: ColumnMap | null): void {
    this.columns = columns;
    this.ask();
  }

  private say(text: string): void {
    byId("log-status").textContent = text;
  }
}

import type { InputError } from "../../../core/inputs/input-error.js";
import type { ColumnMap, ColumnReading, Evaluation, SavedColumnMap } from "../../../core/model.js";
import type { ProtocolDocument } from "../../../core/protocol/index.js";
import type { ColumnProposal, LogErrorCode, LogPlace } from "../../../core/table/log-error.js";

/** What the page asks its worker: to read a log's columns, and to evaluate it where the run is described. */
export interface LogQuestion {
  /** Rises; an older question that was not begun is not answered. */
  readonly id: number;
  /** The log as it was opened, and its number among those that were. */
  readonly log: Blob;
  readonly logNumber: number;
  readonly columns: ColumnMap | null;
  /** Those of who is signed in, of which one is applied where `columns` are null. */
  readonly savedMaps: readonly SavedColumnMap[];
  /** The version by which it is judged, as the service published it; null while none is chosen. */
  readonly protocol: ProtocolDocument | null;
  /** Protocol, pack, bench, conditions and discharge as a run file has them; null while they are not known. */
  readonly run: Readonly<Record<string, unknown>> | null;
}

/** Samples kept for drawing, in rising time. Arrays have one length; s, V, A and degC. */
export interface DrawnTrace {
  readonly time: Float64Array;
  readonly voltage: Float64Array | null;
  readonly current: Float64Array;
  readonly temperature: Float64Array | null;
}

/** One discharge of a log, in s of the log. */
export interface DrawnDischarge {
  readonly fromS: number;
  readonly toS: number;
  /** What it is, in words. */
  readonly text: string;
}

/** How the columns were read; nothing of it depends on the pack or the bench. */
export interface LogColumns {
  /** Every column in its order, with the first cell of it that holds something. */
  readonly headers: readonly string[];
  readonly firstCells: readonly string[];
  /** Of every column; empty where the log cannot be read. */
  readonly readings: readonly ColumnReading[];
  /** Of every column: by how much its header says that its numbers are too large ("V x100"); null where it does not. */
  readonly scales: readonly (number | null)[];
  /** The map that was applied: the one that was sent, or a saved one. */
  readonly map: ColumnMap;
  /** Label of the saved map that was applied. */
  readonly savedMap: string | null;
}

export interface ReadRows {
  readonly bytes: number;
  readonly rows: number;
  readonly adjustments: Evaluation["adjustments"];
  readonly drawn: DrawnTrace;
  /** Those that a run could name, in their order. */
  readonly discharges: readonly DrawnDischarge[];
  /** V; a hint at how many cells are in series. */
  readonly highestVolts: number | null;
}

/** A log that has to be changed, or read otherwise. */
export interface LogRefusal {
  readonly code: LogErrorCode;
  readonly message: string;
  readonly places: readonly (LogPlace & { readonly message: string })[];
  readonly proposal: ColumnProposal | null;
}

/** What the rules, figures and trace of a described run are. */
export interface EvaluatedLog {
  readonly evaluation: Evaluation;
  /** Rules that keep it from conforming. */
  readonly blocking: readonly string[];
  /** Instants at which figures are read, s from onset. */
  readonly marksS: readonly number[];
  readonly figures: FigureTable;
  /** From onset, s. */
  readonly drawn: DrawnTrace;
}

/** Figures as they are shown: of each its text under the run's own load, and under each standard load; null where it has none. */
export interface FigureTable {
  /** A. */
  readonly loads: readonly number[];
  readonly rows: readonly { readonly title: string; readonly cells: readonly (string | null)[] }[];
}

export type LogAnswer = { readonly id: number } & (
  | { readonly kind: "progress"; readonly done: number; readonly total: number }
  | { readonly kind: "columns"; readonly columns: LogColumns; readonly rows: ReadRows | null }
  | { readonly kind: "evaluated"; readonly evaluated: EvaluatedLog; readonly tookMs: number }
  | { readonly kind: "undescribed"; readonly errors: readonly InputError[] }
  | { readonly kind: "refused"; readonly refusal: LogRefusal }
  /** The browser does not give the file's bytes. */
  | { readonly kind: "unavailable"; readonly message: string }
  | { readonly kind: "failed"; readonly message: string }
);

/** Without the number of the question. */
export type LogAnswerBody = LogAnswer extends infer A ? (A extends LogAnswer ? Omit<A, "id"> : never) : never;

import { type ReadLog, readLog } from "../../../core/channels/read-log.js";
import { chooseMap, type MapChoice } from "../../../core/channels/saved-map.js";
import { evaluateRead, UNPACKED_LIMIT_BYTES } from "../../../core/evaluate.js";
import { readColumnMap } from "../../../core/inputs/column-map.js";
import { describedRun } from "../../../core/inputs/described-run.js";
import type { InputError } from "../../../core/inputs/input-error.js";
import { blockingRules } from "../../../core/protocol/conformance.js";
import { unpack } from "../../../core/table/archive/unpack.js";
import { LogError } from "../../../core/table/log-error.js";
import { openTable } from "../../../core/table/open-table.js";
import { drawnTrace, readRows } from "./drawn.js";
import { figureTable, marksOf } from "./figure-table.js";
import { chunksOfFile, FileUnavailable } from "./file-chunks.js";
import { columnsOfLog } from "./log-columns.js";
import type { LogAnswerBody, LogQuestion } from "./messages.js";
import { unknownParts } from "./unknown-parts.js";

type Tell = (answer: LogAnswerBody) => void;

/** Answers questions about logs, one at a time; columns that were read are kept while the log and its map stay. */
export class LogReader {
  private last: { readonly key: string; readonly read: ReadLog } | null = null;

  /** Tells the columns, and then what the run is where it is described, or what keeps it from being read. */
  async answer(question: LogQuestion, tell: Tell): Promise<void> {
    const from = performance.now();
    const maps: MapChoice = { columns: question.columns, savedMaps: question.savedMaps };
    try {
      const errors: InputError[] = [];
      readColumnMap(question.columns, "/columns", errors);
      if (errors.length > 0) {
        await tellHead(question.log, {}, tell);
        return tell({ kind: "undescribed", errors });
      }
      const read = await this.read(question, maps, tell);
      tell({
        kind: "columns",
        columns: columnsOfLog(read.head, read.readings, chooseMap(maps, read.head.headers)),
        rows: readRows(read),
      });
      const { run, protocol: document, columns } = question;
      if (run === null || document === null) return;
      const unknown = unknownParts(document);
      if (unknown.length > 0) return tell({ kind: "undescribed", errors: unknown });
      const described = describedRun({ ...run, columns }, [document]);
      if ("errors" in described) return tell({ kind: "undescribed", errors: described.errors });
      const { facts, protocol } = described;
      const { evaluation, trace } = evaluateRead(read, facts, protocol);
      const { figures, findings } = evaluation;
      const evaluated = {
        evaluation,
        blocking: blockingRules(findings, protocol.rules),
        marksS: marksOf(figures),
        figures: figureTable(figures),
        drawn: drawnTrace(trace),
      };
      tell({ kind: "evaluated", evaluated, tookMs: performance.now() - from });
    } catch (error) {
      if (error instanceof FileUnavailable) tell({ kind: "unavailable", message: error.message });
      else if (error instanceof LogError) {
        const { code, message, places, proposal } = error;
        tell({ kind: "refused", refusal: { code, message, places, proposal } });
      } else throw error;
    }
  }

  private async read({ log, logNumber }: LogQuestion, maps: MapChoice, tell: Tell): Promise<ReadLog> {
    const key = `${logNumber} ${JSON.stringify(maps)}`;
    if (this.last?.key === key) return this.last.read;
    this.last = null;
    try {
      const read = await readLog(chunksOfFile(log, tell), UNPACKED_LIMIT_BYTES, maps);
      this.last = { key, read };
      return read;
    } catch (error) {
      if (error instanceof LogError) await tellHead(log, maps, tell);
      throw error;
    }
  }
}

/** Where a log has a table whose columns are not understood, they can still be named. */
async function tellHead(log: Blob, maps: MapChoice, tell: Tell): Promise<void> {
  try {
    const { head } = await openTable(unpack(chunksOfFile(log), UNPACKED_LIMIT_BYTES));
    tell({ kind: "columns", columns: columnsOfLog(head, [], chooseMap(maps, head.headers)), rows: null });
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
  }
}

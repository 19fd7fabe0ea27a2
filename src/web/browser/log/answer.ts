import { type ReadLog, readLog } from "../../../core/channels/read-log.js";
import { evaluateRead, UNPACKED_LIMIT_BYTES } from "../../../core/evaluate.js";
import { describedRun } from "../../../core/inputs/described-run.js";
import { blockingRules } from "../../../core/protocol/conformance.js";
import { CHUNK_BYTES } from "../../../core/table/archive/chunks.js";
import { unpack } from "../../../core/table/archive/unpack.js";
import { LogError } from "../../../core/table/log-error.js";
import { openTable } from "../../../core/table/open-table.js";
import { drawnTrace, readRows } from "./drawn.js";
import { figureTable, marksOf } from "./figure-table.js";
import type { LogAnswerBody, LogColumns, LogQuestion } from "./messages.js";

type Tell = (answer: LogAnswerBody) => void;

/** Answers questions about logs, one at a time; columns that were read are kept while the log and its map stay. */
export class LogReader {
  private last: { readonly key: string; readonly read: ReadLog } | null = null;

  /** Tells the columns, and then what the run is where it is described, or what keeps it from being read. */
  async answer({ log, logNumber, columns, run }: LogQuestion, tell: Tell): Promise<void> {
    const from = performance.now();
    try {
      const read = await this.read(log, `${logNumber} ${JSON.stringify(columns)}`, columns, tell);
      tell({ kind: "columns", columns: columnsOf(read), rows: readRows(read) });
      if (run === null) return;
      const described = describedRun({ ...run, columns });
      if ("errors" in described) return tell({ kind: "undescribed", errors: described.errors });
      const { facts, protocol } = described;
      const { evaluation, trace } = evaluateRead(read, facts, protocol);
      const blocking = blockingRules(evaluation.findings, protocol.rules);
      const { figures } = evaluation;
      const evaluated = {
        evaluation,
        blocking,
        marksS: marksOf(figures),
        figures: figureTable(figures),
        drawn: drawnTrace(trace),
      };
      tell({ kind: "evaluated", evaluated, tookMs: performance.now() - from });
    } catch (error) {
      if (!(error instanceof LogError)) throw error;
      const { code, message, places, proposal } = error;
      tell({ kind: "refused", refusal: { code, message, places, proposal } });
    }
  }

  private async read(log: Blob, key: string, columns: LogQuestion["columns"], tell: Tell): Promise<ReadLog> {
    if (this.last?.key === key) return this.last.read;
    this.last = null;
    try {
      const read = await readLog(chunksOfBlob(log, tell), UNPACKED_LIMIT_BYTES, { columns });
      this.last = { key, read };
      return read;
    } catch (error) {
      if (error instanceof LogError) await tellHead(log, tell);
      throw error;
    }
  }
}

const columnsOf = ({ head, readings }: ReadLog): LogColumns => ({
  headers: head.headers,
  firstCells: head.firstCells,
  readings,
});

/** Where a log has a table whose columns are not understood, they can still be named. */
async function tellHead(log: Blob, tell: Tell): Promise<void> {
  try {
    const { head } = await openTable(
      unpack(
        chunksOfBlob(log, () => {}),
        UNPACKED_LIMIT_BYTES,
      ),
    );
    const { headers, firstCells } = head;
    tell({ kind: "columns", columns: { headers, firstCells, readings: [] }, rows: null });
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
  }
}

async function* chunksOfBlob(log: Blob, tell: Tell): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < log.size; at += CHUNK_BYTES) {
    tell({ kind: "progress", done: at, total: log.size });
    yield new Uint8Array(await log.slice(at, at + CHUNK_BYTES).arrayBuffer());
  }
}

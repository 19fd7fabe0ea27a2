import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";

/** How far the reading of a log has come, bytes. */
export interface ReadProgress {
  readonly stage: "reading" | "computing";
  readonly done: number;
  readonly total: number;
}

const CHUNK_BYTES = 1 << 20;
/** Shortest time between two reports, ms. */
const REPORT_MS = 200;

/** The bytes of a log file in order. Reports how many were read, now and then, and once that all were. */
export async function* readLogFile(path: string, report: (progress: ReadProgress) => void): AsyncGenerator<Uint8Array> {
  const { size: total } = await stat(path);
  let done = 0;
  let reportedAt = performance.now();
  for await (const chunk of createReadStream(path, { highWaterMark: CHUNK_BYTES }) as AsyncIterable<Buffer>) {
    yield chunk;
    done += chunk.length;
    if (performance.now() - reportedAt < REPORT_MS) continue;
    reportedAt = performance.now();
    report({ stage: "reading", done, total });
  }
  report({ stage: "computing", done: total, total });
}

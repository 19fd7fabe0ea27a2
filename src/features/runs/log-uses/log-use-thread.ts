import type { MapChoice } from "../../../core/channels/saved-map.js";
import type { LogDemand } from "../../../core/use/log-demand.js";
import { type ReadUse, readUse } from "../../../core/use/read-use.js";
import { readLogFile } from "../../../platform/files/read-log-file.js";
import { type UnreadableLog, unreadableLogOf } from "../evaluation/evaluation-thread.js";

export interface LogUseTask {
  /** Path of the log as sent. */
  readonly log: string;
  readonly maps: MapChoice;
  readonly demand: LogDemand;
}

/** Makes a use of a log file; an unreadable log is an outcome. */
export async function useOfFile({ log, maps, demand }: LogUseTask): Promise<ReadUse | { unreadable: UnreadableLog }> {
  try {
    return await readUse(
      readLogFile(log, () => undefined),
      maps,
      demand,
    );
  } catch (error) {
    return { unreadable: unreadableLogOf(error) };
  }
}

import { Injectable } from "@nestjs/common";
import type { ReadUse } from "../../../core/use/read-use.js";
import type { Caller } from "../../../platform/auth/account.js";
import { checkInput } from "../../../platform/http/requests/input.pipe.js";
import { InProgress } from "../../../platform/limits/in-progress.js";
import { ColumnMapsService, columnMapOf } from "../../column-maps/column-maps.service.js";
import { shownUse } from "../../use/uses/uses.service.js";
import { shareOf } from "../evaluation/evaluations.service.js";
import { LogThreads } from "../evaluation/log-threads.js";
import { unreadable } from "../evaluation/unreadable.js";
import type { LogUseTask } from "./log-use-thread.js";
import type { LogUseUpload } from "./log-use-upload.js";
import { LogReadingInput, type LogUseView } from "./log-uses.views.js";

/** Most logs of one account or address that wait or are read at a time: each is kept on disk meanwhile. */
const MAX_LOGS = 64;

/** Makes uses of logs that are sent, and stores nothing. */
@Injectable()
export class LogUsesService {
  private readonly logsInProgress = new InProgress(MAX_LOGS, "logs to make a use of");

  constructor(
    private readonly logThreads: LogThreads,
    private readonly columnMapsService: ColumnMapsService,
  ) {}

  /**
   * @param address whence it was asked: who has no account shares the threads with others by it
   * @throws Problem where the log cannot be read, shows no load, or more than a use may last
   */
  async use({ reading, log }: LogUseUpload, caller: Caller | null, address: string): Promise<LogUseView> {
    const input = await checkInput(LogReadingInput, reading);
    const demand = input.demand ?? "current";
    const savedMaps = caller ? await this.columnMapsService.savedBy(caller.id) : [];
    const task: LogUseTask = { log: log.path, maps: { columns: columnMapOf(input.columns), savedMaps }, demand };
    const share = caller ? shareOf(caller.id) : `address ${address}`;
    const call = { module: "src/features/runs/log-uses/log-use-thread.js", name: "useOfFile", share };
    const read = await this.logsInProgress.of(share, () => this.logThreads.run<LogUseTask, ReadUse>(call, task));
    if ("unreadable" in read) throw unreadable(read.unreadable);
    return {
      ...shownUse(read, demand, "/log"),
      log: {
        sha256: log.sha256.toString("hex"),
        bytes: log.bytes,
        rows: read.log.rows,
        columns: [...read.log.columns],
        keptUntil: null,
        removedAt: null,
      },
      adjustments: read.adjustments,
    };
  }
}

import { Inject, Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { toProblem } from "../../../platform/problems/to-problem.js";
import type { BatchItemView } from "./batch.views.js";
import { type BatchEntry, entriesOf } from "./batch-manifest.js";
import type { BatchUpload } from "./batch-upload.js";
import { logTooLarge, MAX_LOG, type ReceivedLog } from "./received-log.js";
import { STATUS_OF_OUTCOME, UploadsService } from "./uploads.service.js";

/** A batch waits for all its evaluations this many times as long as a single upload does, before the rest is answered as queued. */
const WAIT_FACTOR = 4;
/** Runs stored and waited for at a time. */
const AT_A_TIME = 4;

/** Stores several runs, each on its own. */
@Injectable()
export class BatchService {
  constructor(
    private readonly uploadsService: UploadsService,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /**
   * One item for each run of the manifest, in its order, then one for each file that it does not name. A run that is
   * refused does not keep the others from being stored.
   *
   * @throws Problem `invalid-input` for a manifest that is none; what is a fault of the service, once all were tried
   */
  async upload({ manifest, logs }: BatchUpload, caller: Caller, requestId: string): Promise<BatchItemView[]> {
    const entries = entriesOf(manifest);
    const until = performance.now() + WAIT_FACTOR * this.config.waitSeconds * 1000;
    const items: BatchItemView[] = [];
    const faults: unknown[] = [];
    const waiting = entries.entries();
    const work = async () => {
      for (const [index, entry] of waiting) {
        try {
          items[index] = await this.store(entry, logs, caller, until);
        } catch (error) {
          const problem = toProblem(error);
          if (problem && problem.status < 500) items[index] = refused(entry.file, problem, requestId);
          else faults.push(error);
        }
      }
    };
    await Promise.all(Array.from({ length: AT_A_TIME }, work));
    if (faults.length > 0) throw faults[0];
    const unnamed = logs.filter(({ fileName }) => !entries.some(({ file }) => file === fileName));
    return [...items, ...unnamed.map(({ fileName }) => refused(fileName, notNamed(), requestId))];
  }

  private async store(
    { file, run }: BatchEntry,
    logs: readonly ReceivedLog[],
    caller: Caller,
    until: number,
  ): Promise<BatchItemView> {
    const [log, ...others] = logs.filter(({ fileName }) => fileName === file);
    if (!log) throw fileError("names no file that was sent: send it as a part `log` with this file name");
    if (others.length > 0) throw fileError("names several files that were sent: give each its own name");
    if (log.bytes > MAX_LOG) throw logTooLarge();
    const { run: stored, outcome } = await this.uploadsService.upload({ run, log }, caller, until);
    return { file, status: STATUS_OF_OUTCOME[outcome], run: stored };
  }
}

function refused(file: string, problem: Problem, requestId: string): BatchItemView {
  return { file, status: problem.status, problem: problem.toBody(requestId) };
}

const fileError = (message: string): Problem => invalidInput([{ pointer: "/file", message }]);
const notNamed = (): Problem => invalidInput([{ pointer: "/manifest/runs", message: "has no run with this file" }]);

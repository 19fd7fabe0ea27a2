import { Inject, Injectable } from "@nestjs/common";
import type { LogDemand } from "../../../core/use/log-demand.js";
import { durationOf, tooLong } from "../../../core/use/use.js";
import type { UseOfLog } from "../../../core/use/use-of-log.js";
import type { Caller } from "../../../platform/auth/account.js";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { notFound, Problem } from "../../../platform/problems/problem.js";
import { Threads, TimeLimitPassed } from "../../../platform/threads/threads.js";
import { RunsService } from "../../runs/runs.service.js";
import { PackModelsRepository } from "../pack-models.repository.js";
import type { LoggedUseOutcome, LoggedUseTask } from "./logged-use-thread.js";
import type { LoggedUseView } from "./uses.views.js";

/** Makes uses of logs. */
@Injectable()
export class UsesService {
  constructor(
    private readonly runsService: RunsService,
    private readonly packModelsRepository: PackModelsRepository,
    private readonly threads: Threads,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /**
   * @throws Problem not-found where there is no run that the caller may see, or it was not evaluated; log-no-load where no power is known of it;
   * invalid-input where it drew for longer than a use lasts; log-time-limit
   */
  async ofRun(id: string, demand: LogDemand, caller: Caller | null): Promise<LoggedUseView> {
    const run = await this.runsService.visible(id, caller);
    const traces = await this.packModelsRepository.tracesOf(run.currentEvaluationId ? [run.currentEvaluationId] : []);
    const [trace] = traces.values();
    if (!trace) throw notFound("trace: the run was not evaluated");
    const made = await this.stepsOf({ ...trace, demand });
    if ("code" in made) throw new Problem(made.code, made.message);
    return { runId: run.id, ...shownUse(made, demand, "/id") };
  }

  private async stepsOf(task: LoggedUseTask): Promise<LoggedUseOutcome> {
    const { evaluationSeconds } = this.config;
    const call = { module: "src/features/use/uses/logged-use-thread.js", name: "stepsOfTrace" };
    try {
      return await this.threads.run({ ...call, limitMs: evaluationSeconds * 1_000 }, task);
    } catch (error) {
      if (!(error instanceof TimeLimitPassed)) throw error;
      throw new Problem(
        "log-time-limit",
        `Making a use of the run took longer than ${evaluationSeconds} s and was ended.`,
      );
    }
  }
}

/**
 * What is shown of a use that was made of a log, whether it was sent or is a run's.
 *
 * @param pointer to what names the log
 * @throws Problem invalid-input where it lasts longer than a use may
 */
export function shownUse(
  { steps, remarks }: UseOfLog,
  demand: LogDemand,
  pointer: string,
): Omit<LoggedUseView, "runId"> {
  const durationS = durationOf({ steps, repeats: 1 });
  const message = tooLong(durationS);
  if (message) throw invalidInput([{ pointer, message }]);
  const shown = steps.map(({ seconds, powerW = null, currentA = null }) => ({ seconds, powerW, currentA }));
  return { demand, durationS, steps: shown, remarks };
}

import { Injectable } from "@nestjs/common";
import type { LogDemand } from "../../../core/use/log-demand.js";
import { durationOf, tooLong } from "../../../core/use/use.js";
import type { Caller } from "../../../platform/auth/account.js";
import { invalidInput } from "../../../platform/http/input.pipe.js";
import { notFound, Problem } from "../../../platform/problems/problem.js";
import { Threads } from "../../../platform/threads/threads.js";
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
  ) {}

  /** @throws Problem not-found where there is no run that the caller may see, or it was not evaluated; log-no-load where no power is known of it; invalid-input where it drew for longer than a use lasts */
  async ofRun(id: string, demand: LogDemand, caller: Caller | null): Promise<LoggedUseView> {
    const run = await this.runsService.visible(id, caller);
    const traces = await this.packModelsRepository.tracesOf(run.currentEvaluationId ? [run.currentEvaluationId] : []);
    const [trace] = traces.values();
    if (!trace) throw notFound("trace: the run was not evaluated");
    const made = await this.threads.run<LoggedUseTask, LoggedUseOutcome>(
      { module: "src/features/use/uses/logged-use-thread.js", name: "stepsOfTrace" },
      { ...trace, demand },
    );
    if ("code" in made) throw new Problem(made.code, made.message);
    const { steps, remarks } = made;
    const durationS = durationOf({ steps, repeats: 1 });
    const message = tooLong(durationS);
    if (message) throw invalidInput([{ pointer: "/id", message }]);
    return {
      runId: run.id,
      demand,
      durationS,
      steps: steps.map(({ seconds, powerW = null, currentA = null }) => ({ seconds, powerW, currentA })),
      remarks,
    };
  }
}

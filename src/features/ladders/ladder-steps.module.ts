import { Module } from "@nestjs/common";
import { LadderStepsRepository } from "./ladder-steps.repository.js";
import { LadderStepsService } from "./ladder-steps.service.js";

/** The steps of ladders, which rankings count; it knows nothing of runs' own service, which knows rankings. */
@Module({
  providers: [LadderStepsRepository, LadderStepsService],
  exports: [LadderStepsService],
})
export class LadderStepsModule {}

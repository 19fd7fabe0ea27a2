import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { HistoryService } from "./history.service.js";
import { EvaluationChangesView, EvaluationPairArgs, EvaluationsView } from "./history.views.js";

@ApiTags("runs")
@Controller("v1/runs")
export class HistoryController {
  constructor(private readonly historyService: HistoryService) {}

  @Get(":id/evaluations")
  @ApiOperation({ operationId: "listEvaluations", summary: "Every evaluation of a run, the newest first" })
  @ApiOkResponse({ type: EvaluationsView })
  list(@Param("id") id: string, @CurrentAccount() caller: Caller | null): Promise<EvaluationsView> {
    return this.historyService.list(id, caller);
  }

  @Get(":id/evaluations/compare")
  @ApiOperation({
    operationId: "compareEvaluations",
    summary: "What differs between two evaluations of a run, and why",
  })
  @ApiOkResponse({ type: EvaluationChangesView })
  compare(
    @Param("id") id: string,
    @Query() args: EvaluationPairArgs,
    @CurrentAccount() caller: Caller | null,
  ): Promise<EvaluationChangesView> {
    return this.historyService.compare(id, args, caller);
  }
}

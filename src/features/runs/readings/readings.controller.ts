import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../../platform/http/answers/conditional.js";
import { ReadsReplica } from "../../../platform/http/reads-replica.js";
import { RunsService } from "../runs.service.js";
import { ReadingsService } from "./readings.service.js";
import { ReadingsQuery, ReadingsView } from "./readings.views.js";

@ApiTags("runs")
@Controller("v1/runs")
export class ReadingsController {
  constructor(
    private readonly runsService: RunsService,
    private readonly readingsService: ReadingsService,
  ) {}

  @Get(":id/readings")
  @ReadsReplica()
  @ApiOperation({
    operationId: "getRunReadings",
    summary: "A run read at marks and spans, to a cutoff and under a load of your choice: how long it holds",
  })
  @ApiOkResponse({ type: ReadingsView })
  read(
    @Param("id") id: string,
    @Query() { at, span, cutoff = null, load = null }: ReadingsQuery,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ): Promise<ReadingsView | string | Buffer | undefined> {
    const written = { at: at ?? [], span: span ?? [], cutoff, load };
    return conditional.keptUnlessCurrent(
      () => this.runsService.ref(id, caller),
      () => this.readingsService.read(id, written, caller),
    );
  }
}

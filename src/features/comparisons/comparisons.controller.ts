import { Controller, Get, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ComparisonsService } from "./comparisons.service.js";
import { ComparisonQuery, ComparisonView } from "./comparisons.views.js";

@ApiTags("comparisons")
@Controller("v1/comparisons")
export class ComparisonsController {
  constructor(private readonly comparisonsService: ComparisonsService) {}

  @Get()
  @Refuses("not-found")
  @ApiOperation({ operationId: "getComparison", summary: "Packs or runs side by side, in percent of a baseline" })
  @ApiOkResponse({ type: ComparisonView })
  compare(
    @Query() { packs, runs, ...options }: ComparisonQuery,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ): Promise<ComparisonView | undefined> {
    const compared = { packs: packs?.split(",") ?? null, runs: runs?.split(",") ?? null };
    return conditional.unlessCurrent(
      () => this.comparisonsService.revision(compared, caller),
      () => this.comparisonsService.compare({ ...options, ...compared }, caller),
    );
  }
}

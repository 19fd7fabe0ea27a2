import { Controller, Get, Param } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { FollowsMerges } from "../packs/packs.module.js";
import { PackModelView, PackValidationView } from "./pack-models.views.js";
import { PredictionsService } from "./predictions.service.js";

@ApiTags("packs")
@Controller("v1/packs")
export class PackModelsController {
  constructor(private readonly predictionsService: PredictionsService) {}

  @Get(":id/model")
  @FollowsMerges()
  @Refuses("model-not-available")
  @ApiOperation({
    operationId: "getPackModel",
    summary: "What all accepted runs of a pack together say of it, to compute predictions from",
  })
  @ApiOkResponse({ type: PackModelView })
  model(
    @Param("id") packId: string,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ): Promise<PackModelView | undefined> {
    return conditional.unlessCurrent(
      () => this.predictionsService.modelRevision(packId, caller),
      () => this.predictionsService.model(packId, caller),
    );
  }

  @Get(":id/validation")
  @FollowsMerges()
  @ApiOperation({
    operationId: "getPackValidation",
    summary: "Each run of a pack, predicted from its other runs, and how far off that is",
  })
  @ApiOkResponse({ type: PackValidationView })
  validation(
    @Param("id") packId: string,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ): Promise<PackValidationView | undefined> {
    return conditional.unlessCurrent(
      () => this.predictionsService.modelRevision(packId, caller),
      () => this.predictionsService.validation(packId, caller),
    );
  }
}

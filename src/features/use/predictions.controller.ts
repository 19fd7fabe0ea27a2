import { Body, Controller, HttpCode, Post } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { USE_CAUTIONS } from "../../core/use/cautions.js";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, KeyScope } from "../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../platform/client/client.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PredictionsService } from "./predictions.service.js";
import { PredictionInput, PredictionsView } from "./predictions.views.js";

@ApiTags("predictions")
@Controller("v1/predictions")
export class PredictionsController {
  constructor(private readonly predictionsService: PredictionsService) {}

  @Post()
  @HttpCode(200)
  @KeyScope("read")
  @Refuses("not-found")
  @ApiOperation({
    operationId: "predictUse",
    summary:
      "What packs do under a use: voltage, temperature and charge along it, whether they hold it, and how sure that is",
    description: `**Caution.** ${USE_CAUTIONS.join(" ")}`,
  })
  @ApiOkResponse({ type: PredictionsView })
  predict(
    @Body() input: PredictionInput,
    @CurrentAccount() caller: Caller | null,
    @FromClient() { network }: Client,
  ): Promise<PredictionsView> {
    return this.predictionsService.predict(input, caller, network);
  }
}

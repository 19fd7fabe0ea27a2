import { Body, Controller, HttpCode, Post, Res } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import { USE_CAUTIONS } from "../../core/use/cautions.js";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, KeyScope } from "../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../platform/client/client.js";
import { Gives } from "../../platform/http/accept.guard.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { predictionsCsv } from "./prediction-csv.js";
import { PredictionsService } from "./predictions.service.js";
import { PredictionInput, PredictionsView } from "./predictions.views.js";

@ApiTags("predictions")
@Controller("v1")
export class PredictionsController {
  constructor(private readonly predictionsService: PredictionsService) {}

  @Post("predictions")
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

  @Post("predictions.csv")
  @HttpCode(200)
  @KeyScope("read")
  @Refuses("not-found")
  @ApiOperation({
    operationId: "predictUseCsv",
    summary:
      "What packs do under a use as CSV (RFC 4180): a row for each instant of each pack, with standard uncertainties",
    description: `**Caution.** ${USE_CAUTIONS.join(" ")}`,
  })
  @Gives("text/csv")
  @ApiOkResponse({ content: { "text/csv": { schema: { type: "string" } } } })
  async csv(
    @Body() input: PredictionInput,
    @CurrentAccount() caller: Caller | null,
    @FromClient() { network }: Client,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<string> {
    const predicted = await this.predictionsService.predict(input, caller, network);
    reply.header("content-type", "text/csv; charset=utf-8; header=present");
    return predictionsCsv(predicted);
  }
}

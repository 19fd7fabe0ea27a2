import { Body, Controller, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import { USE_CAUTIONS } from "../../core/use/cautions.js";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, KeyScope } from "../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../platform/client/client.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { type AskedForm, InForm, PostInForms } from "../../platform/http/requests/forms.js";
import { Pictures } from "../../platform/pictures/pictures.js";
import { PictureQuery } from "../../platform/pictures/pictures.views.js";
import { predictionChart } from "./pictures/prediction-chart.js";
import { predictionsCsv } from "./pictures/prediction-csv.js";
import { predictionsMarkdown } from "./pictures/prediction-markdown.js";
import { PredictionsService } from "./predictions.service.js";
import { PredictionInput, PredictionsView } from "./predictions.views.js";

@ApiTags("predictions")
@Controller("v1")
export class PredictionsController {
  constructor(
    private readonly predictionsService: PredictionsService,
    private readonly pictures: Pictures,
  ) {}

  @PostInForms("predictions", PredictionsView)
  @KeyScope("read")
  @Refuses("not-found")
  @ApiOperation({
    operationId: "predictUse",
    summary:
      "What packs do under a use: voltage, temperature and charge along it, whether they hold it, and how sure that is",
    description: `**Caution.** ${USE_CAUTIONS.join(" ")}`,
  })
  predict(
    @Body() input: PredictionInput,
    @Query() options: PictureQuery,
    @CurrentAccount() caller: Caller | null,
    @FromClient() { network }: Client,
    @InForm() asked: AskedForm,
  ): Promise<PredictionsView | string | Buffer> {
    const predicted = () => this.predictionsService.predict(input, caller, network);
    const named = () => this.predictionsService.named(input, caller, network);
    return asked.answer(
      this.pictures,
      {
        json: predicted,
        csv: async () => predictionsCsv(await predicted()),
        md: async ({ address }) => predictionsMarkdown(await named(), address),
        chart: async (source) => predictionChart(await named(), source),
      },
      options,
    );
  }
}

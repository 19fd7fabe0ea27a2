import { Controller, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import { USE_CAUTIONS } from "../../../core/use/cautions.js";
import { Conditional, type ConditionalRead } from "../../../platform/http/answers/conditional.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { type AskedForm, GetInForms, InForm } from "../../../platform/http/requests/forms.js";
import { Pictures } from "../../../platform/pictures/pictures.js";
import { EnergyService } from "./energy.service.js";
import { EnergyComparisonQuery, EnergyComparisonView } from "./energy.views.js";
import { energyComparisonChart, energyComparisonCsv, energyComparisonMarkdown } from "./energy-comparison-forms.js";

@ApiTags("packs")
@Controller("v1")
export class EnergyComparisonController {
  constructor(
    private readonly energyService: EnergyService,
    private readonly pictures: Pictures,
  ) {}

  @GetInForms("energy-against-power", EnergyComparisonView)
  @Refuses("not-found")
  @ApiOperation({
    operationId: "compareEnergyAgainstPower",
    summary: "Energy and time that several packs give at the same steady powers, from full to the cutoff",
    description: `**Caution.** ${USE_CAUTIONS.join(" ")}`,
  })
  compare(
    @Query() { packs, width, scale, ...args }: EnergyComparisonQuery,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<EnergyComparisonView | string | Buffer | undefined> {
    const view = () => this.energyService.compare(packs, args);
    return conditional.unlessCurrent(
      async () => [await this.energyService.comparisonRevision(packs), asked.version],
      () =>
        asked.answer(
          this.pictures,
          {
            json: view,
            csv: async () => energyComparisonCsv(await view()),
            md: async ({ address }) => energyComparisonMarkdown(await view(), address),
            chart: async (source) => energyComparisonChart(await view(), source),
          },
          { width, scale },
        ),
    );
  }
}

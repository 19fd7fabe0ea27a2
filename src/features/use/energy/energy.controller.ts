import { Controller, Param, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import { USE_CAUTIONS } from "../../../core/use/cautions.js";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../../platform/http/answers/conditional.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { type AskedForm, GetInForms, InForm } from "../../../platform/http/requests/forms.js";
import { Pictures } from "../../../platform/pictures/pictures.js";
import { FollowsMerges } from "../../packs/packs.module.js";
import { EnergyService } from "./energy.service.js";
import { EnergyAgainstPowerView, EnergyQuery } from "./energy.views.js";
import { energyChart, energyCsv, energyMarkdown } from "./energy-forms.js";

@ApiTags("packs")
@Controller("v1/packs")
export class EnergyController {
  constructor(
    private readonly energyService: EnergyService,
    private readonly pictures: Pictures,
  ) {}

  @GetInForms(":id/energy-against-power", EnergyAgainstPowerView)
  @FollowsMerges()
  @Refuses("model-not-available")
  @ApiOperation({
    operationId: "getEnergyAgainstPower",
    summary: "Energy and time that a pack gives at steady powers, from full to the cutoff, with uncertainties",
    description: `**Caution.** ${USE_CAUTIONS.join(" ")}`,
  })
  against(
    @Param("id") packId: string,
    @Query() { width, scale, ...args }: EnergyQuery,
    @CurrentAccount() caller: Caller | null,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<EnergyAgainstPowerView | string | Buffer | undefined> {
    const view = () => this.energyService.against(packId, args, caller);
    const name = () => this.energyService.nameOf(packId, caller);
    return conditional.unlessCurrent(
      async () => [await this.energyService.revision(packId, caller), asked.version],
      () =>
        asked.answer(
          this.pictures,
          {
            json: view,
            csv: async () => energyCsv(await view()),
            md: async ({ address }) => energyMarkdown(await name(), await view(), address),
            chart: async (source) => energyChart(await name(), await view(), source),
          },
          { width, scale },
        ),
    );
  }
}

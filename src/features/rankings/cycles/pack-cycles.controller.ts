import { Controller, Param, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../../platform/http/answers/conditional.js";
import { ReadsReplica } from "../../../platform/http/reads-replica.js";
import { type AskedForm, GetInForms, InForm } from "../../../platform/http/requests/forms.js";
import { Pictures } from "../../../platform/pictures/pictures.js";
import { FollowsMerges } from "../../packs/packs.module.js";
import { StandingQuery } from "../rankings.args.js";
import { cyclesChart, cyclesCsv, cyclesMarkdown } from "./cycles-forms.js";
import { PackCyclesService } from "./pack-cycles.service.js";
import { PackCyclesView } from "./pack-cycles.views.js";

@ApiTags("rankings")
@Controller("v1/rankings")
export class PackCyclesController {
  constructor(
    private readonly packCyclesService: PackCyclesService,
    private readonly pictures: Pictures,
  ) {}

  @GetInForms(":figure/packs/:packId/cycles", PackCyclesView)
  @ReadsReplica()
  @FollowsMerges()
  @ApiOperation({
    operationId: "getPackCycles",
    summary: "A figure of every accepted run of a pack, by the age of its specimen",
  })
  get(
    @Param("figure") figure: string,
    @Param("packId") packId: string,
    @Query() { width, scale, ...args }: StandingQuery,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<PackCyclesView | string | Buffer | undefined> {
    const cycles = () => this.packCyclesService.get(figure, packId, args);
    return conditional.keptUnlessCurrent(
      async () => [await this.packCyclesService.revision(packId, args), asked.version],
      () =>
        asked.answer(
          this.pictures,
          {
            json: cycles,
            csv: async () => cyclesCsv(await cycles()),
            md: async ({ address }) => cyclesMarkdown(await cycles(), address),
            chart: async (source) => cyclesChart(await cycles(), source),
          },
          { width, scale },
        ),
    );
  }
}

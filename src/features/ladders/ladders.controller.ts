import { Controller, Param, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { type AskedForm, GetInForms, InForm } from "../../platform/http/requests/forms.js";
import { Pictures } from "../../platform/pictures/pictures.js";
import { ladderChart, ladderCsv, ladderMarkdown } from "./ladder-forms.js";
import { LaddersService } from "./ladders.service.js";
import { LadderQuery, LadderView } from "./ladders.views.js";

@ApiTags("ladders")
@Controller("v1/ladders")
export class LaddersController {
  constructor(
    private readonly laddersService: LaddersService,
    private readonly pictures: Pictures,
  ) {}

  @GetInForms(":specimenId", LadderView)
  @ReadsReplica()
  @Refuses("no-accepted-step")
  @ApiOperation({ summary: "The current that a specimen sustains, from its constant-current runs" })
  get(
    @Param("specimenId") specimenId: string,
    @Query() { width, scale, ...args }: LadderQuery,
    @CurrentAccount() caller: Caller | null,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<LadderView | string | Buffer | undefined> {
    const ladder = () => this.laddersService.get(specimenId, args, caller);
    return conditional.keptUnlessCurrent(
      async () => [await this.laddersService.revision(specimenId, caller), asked.version],
      () =>
        asked.answer(
          this.pictures,
          {
            json: ladder,
            csv: async () => ladderCsv(await ladder()),
            md: async ({ address }) => ladderMarkdown(await ladder(), address),
            chart: async (source) => ladderChart(await ladder(), source),
          },
          { width, scale },
        ),
    );
  }
}

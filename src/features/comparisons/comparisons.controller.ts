import { Controller, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { type AskedForm, GetInForms, InForm } from "../../platform/http/requests/forms.js";
import { Pictures } from "../../platform/pictures/pictures.js";
import { comparisonChart } from "./comparison-chart.js";
import { DRAWN_POINTS } from "./comparison-curves.js";
import { comparisonCsv, comparisonMarkdown } from "./comparison-tables.js";
import { ComparisonQuery } from "./comparisons.args.js";
import { ComparisonsService } from "./comparisons.service.js";
import { ComparisonView } from "./comparisons.views.js";
import { laddersChart } from "./ladders-chart.js";

@ApiTags("comparisons")
@Controller("v1")
export class ComparisonsController {
  constructor(
    private readonly comparisonsService: ComparisonsService,
    private readonly pictures: Pictures,
  ) {}

  @GetInForms("comparisons", ComparisonView)
  @ReadsReplica()
  @Refuses("not-found", "no-accepted-step")
  @ApiOperation({
    operationId: "getComparison",
    summary: "Packs, runs, specimens or ladders side by side, in percent of a baseline",
  })
  compare(
    @Query() { at, span, width, scale, ...options }: ComparisonQuery,
    @CurrentAccount() caller: Caller | null,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<ComparisonView | string | Buffer | undefined> {
    const compared = { ...options, at: at?.join(",") ?? null, span: span?.join(",") ?? null };
    const table = () => this.comparisonsService.table(compared, caller);
    return conditional.keptUnlessCurrent(
      async () => [await this.comparisonsService.revision(compared, caller), asked.version],
      () =>
        asked.answer(
          this.pictures,
          {
            json: () => this.comparisonsService.compare(compared, caller),
            csv: async () => comparisonCsv(await table()),
            md: async ({ origin }) => {
              const made = await table();
              return comparisonMarkdown(made, `${origin}${made.link}`);
            },
            chart: async (source) => {
              const made = await this.comparisonsService.compare(compared, caller, DRAWN_POINTS);
              return options.ladders ? laddersChart(made, source) : comparisonChart(made, options, source);
            },
          },
          { width, scale },
        ),
    );
  }
}

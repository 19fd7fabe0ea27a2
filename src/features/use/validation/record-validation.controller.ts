import { Controller, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../../platform/http/answers/conditional.js";
import { type AskedForm, GetInForms, InForm } from "../../../platform/http/requests/forms.js";
import { Pictures } from "../../../platform/pictures/pictures.js";
import { RecordValidationService } from "./record-validation.service.js";
import { RecordValidationQuery, RecordValidationView } from "./record-validation.views.js";
import { validationChart, validationCsv, validationMarkdown } from "./record-validation-forms.js";

@ApiTags("packs")
@Controller("v1")
export class RecordValidationController {
  constructor(
    private readonly recordValidationService: RecordValidationService,
    private readonly pictures: Pictures,
  ) {}

  @GetInForms("validation", RecordValidationView)
  @ApiOperation({
    operationId: "getRecordValidation",
    summary: "How far off predictions are: each run of every pack, predicted from the pack's other runs, by class",
  })
  validation(
    @Query() { width, scale }: RecordValidationQuery,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<RecordValidationView | string | Buffer | undefined> {
    return conditional.unlessCurrent(
      async () => ({ classes: await this.recordValidationService.classes(), version: asked.version }),
      ({ classes }) => {
        const view = this.recordValidationService.viewOf(classes);
        return asked.answer(
          this.pictures,
          {
            json: async () => view,
            csv: async () => validationCsv(view),
            md: async ({ address }) => validationMarkdown(view, address),
            chart: async (source) => validationChart(view, source),
          },
          { width, scale },
        );
      },
    );
  }
}

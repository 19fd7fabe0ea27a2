import { Controller, Get, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { toList } from "../../platform/paging/page.js";
import { FiguresService } from "./figures.service.js";
import { FigureDefinitionList, FiguresArgs } from "./figures.views.js";

@ApiTags("figures")
@Controller("v1/figures")
export class FiguresController {
  constructor(private readonly figuresService: FiguresService) {}

  @Get()
  @ApiOperation({ summary: "Every figure: unit, which way is better, what it is, which protocols give it" })
  @ApiOkResponse({ type: FigureDefinitionList })
  list(@Query() args: FiguresArgs, @Conditional() conditional: ConditionalRead) {
    return conditional.unlessCurrent(
      () => this.figuresService.revision(),
      async () => toList(await this.figuresService.list(args)),
    );
  }
}

import { Body, Controller, HttpCode, Post, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { USE_CAUTIONS } from "../../../core/use/cautions.js";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, KeyScope } from "../../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { PageArgs, toList } from "../../../platform/paging/page.js";
import { SelectionsService } from "./selections.service.js";
import { SelectionInput, SelectionList } from "./selections.views.js";

@ApiTags("predictions")
@Controller("v1/selections")
export class SelectionsController {
  constructor(private readonly selectionsService: SelectionsService) {}

  @Post()
  @HttpCode(200)
  @KeyScope("read")
  @ApiOperation({
    operationId: "selectPacks",
    summary: "The packs of a class that hold a use, by how probable that is, their margin, mass and energy left",
    description: `**Caution.** ${USE_CAUTIONS.join(" ")}`,
  })
  @ApiOkResponse({ type: SelectionList })
  async select(
    @Body() input: SelectionInput,
    @Query() page: PageArgs,
    @CurrentAccount() caller: Caller | null,
    @FromClient() { network }: Client,
  ): Promise<SelectionList> {
    const selected = await this.selectionsService.select(input, page, caller, network);
    const { cautions, counts } = selected;
    return { cautions, counts, ...toList(selected) };
  }
}

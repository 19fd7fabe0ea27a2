import { Body, Controller, Delete, HttpCode, Param, Patch, Post, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PackView } from "../packs/packs.views.js";
import { CorrectionsService } from "./corrections.service.js";
import { MergeInput, PackCorrectionInput } from "./corrections.views.js";
import { UndoArgs } from "./register.views.js";

@ApiTags("packs")
@Controller("v1/packs/:id")
export class CorrectionsController {
  constructor(private readonly correctionsService: CorrectionsService) {}

  @Patch()
  @Authenticated()
  @Refuses("role-required", "already-exists", "similar-pack", "decision-not-possible")
  @ApiOperation({ operationId: "correctPack", summary: "Correct a pack; what depends on it is computed anew" })
  @ApiOkResponse({ type: PackView })
  correct(
    @Param("id") id: string,
    @Body() input: PackCorrectionInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.correctionsService.correct(id, input, caller);
  }

  @Post("merge")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({ operationId: "mergePack", summary: "Merge a pack into the one that it is; its id leads there" })
  @ApiOkResponse({ type: PackView, description: "The pack that it was merged into" })
  merge(
    @Param("id") id: string,
    @Body() { into, reason = null }: MergeInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.correctionsService.merge(id, into, reason, caller);
  }

  @Delete("merge")
  @Roles("moderator")
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({
    operationId: "undoPackMerge",
    summary: "Undo the merge of a pack: it has its specimens and runs again",
  })
  @ApiOkResponse({ type: PackView })
  undoMerge(
    @Param("id") id: string,
    @Query() { reason = null }: UndoArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.correctionsService.undoMerge(id, reason, caller);
  }
}

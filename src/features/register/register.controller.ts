import { Body, Controller, Delete, HttpCode, Param, Post, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PackView } from "../packs/packs.views.js";
import { RegisterService } from "./register.service.js";
import { ConfirmationInput, ReasonInput, UndoArgs } from "./register.views.js";

@ApiTags("packs")
@Controller("v1/packs/:id")
export class RegisterController {
  constructor(private readonly registerService: RegisterService) {}

  @Post("confirmation")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({ operationId: "confirmPack", summary: "Confirm a pack that another tester proposed" })
  @ApiOkResponse({ type: PackView })
  confirm(
    @Param("id") id: string,
    @Body() input: ConfirmationInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.registerService.confirm(id, input, caller);
  }

  @Delete("confirmation")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({ operationId: "unconfirmPack", summary: "Take a pack's confirmation back: it is proposed again" })
  @ApiOkResponse({ type: PackView })
  unconfirm(
    @Param("id") id: string,
    @Query() { reason = null }: UndoArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.registerService.unconfirm(id, reason, caller);
  }

  @Post("hiding")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required")
  @ApiOperation({ operationId: "hidePack", summary: "Hide a pack from lists and rankings; nothing is deleted" })
  @ApiOkResponse({ type: PackView })
  hide(@Param("id") id: string, @Body() { reason }: ReasonInput, @CurrentAccount() caller: Caller): Promise<PackView> {
    return this.registerService.hide(id, reason, caller);
  }

  @Delete("hiding")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({ operationId: "showPack", summary: "Show a hidden pack again" })
  @ApiOkResponse({ type: PackView })
  show(
    @Param("id") id: string,
    @Query() { reason = null }: UndoArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.registerService.show(id, reason, caller);
  }
}

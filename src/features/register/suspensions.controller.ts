import { Body, Controller, Delete, HttpCode, Param, Post, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ReasonInput, SuspensionView, UndoArgs } from "./register.views.js";
import { SuspensionsService } from "./suspensions.service.js";

@ApiTags("accounts")
@Controller("v1/accounts/:handle/suspension")
export class SuspensionsController {
  constructor(private readonly suspensionsService: SuspensionsService) {}

  @Post()
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required")
  @ApiOperation({
    operationId: "suspendAccount",
    summary: "Suspend an account: it may only read, and its runs leave the standings",
  })
  @ApiOkResponse({ type: SuspensionView })
  suspend(
    @Param("handle") handle: string,
    @Body() { reason }: ReasonInput,
    @CurrentAccount() caller: Caller,
  ): Promise<SuspensionView> {
    return this.suspensionsService.suspend(handle, reason, caller);
  }

  @Delete()
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({ operationId: "liftSuspension", summary: "Lift the suspension of an account; its runs count again" })
  @ApiOkResponse({ type: SuspensionView })
  lift(
    @Param("handle") handle: string,
    @Query() { reason = null }: UndoArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<SuspensionView> {
    return this.suspensionsService.lift(handle, reason, caller);
  }
}
